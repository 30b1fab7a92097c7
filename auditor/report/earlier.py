"""Reading a report that `auditor audit --as json` wrote earlier, to compare with."""

from __future__ import annotations

import json
from typing import Any

from pydantic import BaseModel, ConfigDict, ValidationError

from auditor.plan.place import Place, show_path
from auditor.plan.problems import Problem, Unreadable
from auditor.plan.values import listed
from auditor.review.finding import Outcome, Verdict
from auditor.review.run import Gone
from auditor.review.since import Earlier, EarlierPlan
from auditor.rulebook.rule import SIGNAL_WORDS

OUTCOMES = (Outcome.BROKEN.value, Outcome.UNDETERMINED.value)
WRITE_ONE = "write it with `auditor audit PATH... --as json --output REPORT`"


class _Part(BaseModel):
    """A part of a report, of which only what is compared is read; a newer report may hold more."""

    model_config = ConfigDict(frozen=True, extra="ignore", strict=True)


class _Finding(_Part):
    rule: str
    signal_word: str
    outcome: str
    step_words: str | None
    message: str
    fingerprints: list[str]


class _Accepted(_Part):
    fingerprints: list[str]


class _Plan(_Part):
    path: str
    title: str | None
    fingerprint: str | None
    verdict: str | None
    findings: list[_Finding]
    accepted: list[_Accepted]


class _Report(_Part):
    rules: dict[str, str]
    plans: list[_Plan]


def earlier_report(source: bytes) -> Earlier:
    """The report in these bytes. Raises Unreadable with every problem: its line and column where it is no JSON, else
    the place within the report."""
    try:
        data: Any = json.loads(source.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise _refused("this is not UTF-8") from None
    except json.JSONDecodeError as error:
        place = Place(error.lineno, error.colno, error.lineno, error.colno)
        raise _refused("this is no JSON, or it is cut off here", place) from None
    except ValueError:
        raise _refused("this has a number in it that no report has") from None
    except RecursionError:
        raise _refused("this is nested too deep to be a report") from None
    try:
        report = _Report.model_validate(data)
    except ValidationError as error:
        raise Unreadable(tuple(_problem(detail) for detail in error.errors(include_url=False)[:5])) from None
    _check_words(report)
    return Earlier(report.rules, tuple(map(_plan, report.plans)))


def _plan(plan: _Plan) -> EarlierPlan:
    findings = tuple((Gone(f.rule, f.signal_word, Outcome(f.outcome), f.step_words, f.message), tuple(f.fingerprints))
                     for f in plan.findings)
    accepted = frozenset(mark for each in plan.accepted for mark in each.fingerprints)
    return EarlierPlan(plan.path, plan.title, plan.fingerprint, plan.verdict == Verdict.NOTHING_TO_REVIEW.value, findings,
                       accepted)


def _check_words(report: _Report) -> None:
    """Refuse words that are not of this report's vocabulary, so that nothing is compared by mistake."""
    problems = [
        Problem(f"`{value}` is not one of {listed(words)}", ("plans", i, "findings", k, key))
        for i, plan in enumerate(report.plans) for k, finding in enumerate(plan.findings)
        for key, value, words in (("signal_word", finding.signal_word, SIGNAL_WORDS), ("outcome", finding.outcome, OUTCOMES))
        if value not in words
    ]
    if problems:
        raise Unreadable(tuple(_shown(problem) for problem in problems[:5]))


def _problem(detail: Any) -> Problem:
    path = tuple(detail["loc"])
    if detail["type"] == "missing":
        said = f"`{path[-1]}` is missing: this is not such a report, or an older version wrote it"
        return _shown(Problem(said, path[:-1], suggestion=WRITE_ONE))
    return _shown(Problem("this is not what such a report has here", path, suggestion=WRITE_ONE))


def _shown(problem: Problem) -> Problem:
    where = f"at {show_path(problem.path)}: " if problem.path else ""
    return Problem(where + problem.message, problem.path, suggestion=problem.suggestion)


def _refused(message: str, place: Place | None = None) -> Unreadable:
    return Unreadable((Problem(message, place=place, suggestion=WRITE_ONE),))
