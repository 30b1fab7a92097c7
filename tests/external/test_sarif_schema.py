"""SARIF logs against the schema of the standard and the sentences of it that the schema does not say.

sarif-2.1.0-rtm.5.schema.json is the JSON Schema of the OASIS committee for SARIF 2.1.0, unchanged, as the npm package
@microsoft/jest-sarif 1.0.0-beta.0 (MIT licence) distributes it. Sections are those of "Static Analysis Results
Interchange Format (SARIF) Version 2.1.0", OASIS Standard, 27 March 2020.
"""

from __future__ import annotations

import json
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft4Validator

from auditor.plan.files import files_under
from auditor.report.as_json import report
from auditor.report.earlier import earlier_report
from auditor.report.sarif import sarif
from auditor.review.run import Reviewed, review_file, summed_up
from auditor.review.since import compared
from auditor.rulebook.load import load_rulebook
from auditor.rulebook.rule import Rulebook

HERE = Path(__file__).parent
CHECK = Draft4Validator(json.loads((HERE / "sarif-2.1.0-rtm.5.schema.json").read_text(encoding="utf-8")))
PROCEDURES = HERE.parents[1] / "procedures"
TODAY = date(2026, 11, 20)
ASKED = ("flawed-ten-lines.yaml", "flawed-hot-chassis-without-isolation.yaml", "wiki-first-power.md",
         "after-storage-with-reforming.yaml")


@lru_cache(maxsize=1)
def shipped() -> Rulebook:
    return load_rulebook()


@lru_cache(maxsize=1)
def reviews() -> tuple[Reviewed, ...]:
    """Findings, questions, a page, a card, a plan that cannot be read, one that is not there, one with nothing to do."""
    files = [str(PROCEDURES / name) for name in ASKED]
    found = [reviewed for file in files_under(files) for reviewed in review_file(file, shipped(), TODAY)]
    for source in (b"procedure: {title: '{braces} [brackets](x)'}\n", b"a: [", b"\xff"):
        found.extend(review_file("-", shipped(), TODAY, standard_input=source))
    found.extend(review_file("no such {file} 50 %.yaml", shipped(), TODAY))
    return tuple(found)


@lru_cache(maxsize=2)
def log(*, levels_only: bool = False) -> Any:
    return json.loads(sarif(reviews(), summed_up(reviews(), "CAUTION"), shipped(), levels_only=levels_only))


def run(*, levels_only: bool = False) -> Any:
    return log(levels_only=levels_only)["runs"][0]


def schema_errors(data: Any) -> list[str]:
    return [f"{error.json_path}: {error.message}" for error in CHECK.iter_errors(data)]


@pytest.mark.parametrize("levels_only", [False, True])
def test_a_log_fits_the_schema_of_the_standard(levels_only: bool) -> None:
    assert schema_errors(log(levels_only=levels_only)) == []
    assert len(run(levels_only=levels_only)["results"]) > 50


def test_the_schema_refuses_what_is_none() -> None:
    assert schema_errors({"version": "2.1.0", "runs": [{"tool": {}}]}) != []


@pytest.mark.parametrize("levels_only", [False, True])
def test_a_log_of_nothing_fits_too(levels_only: bool) -> None:
    assert schema_errors(json.loads(sarif((), summed_up((), "CAUTION"), shipped(), levels_only=levels_only))) == []


@pytest.mark.parametrize("levels_only", [False, True])
def test_a_log_of_a_comparison_fits_too(levels_only: bool) -> None:
    earlier = earlier_report(report(reviews(), summed_up(reviews()), shipped()).encode("utf-8", "backslashreplace"))
    # One thing is mended, and a new mistake is made.
    text = (PROCEDURES / ASKED[0]).read_text(encoding="utf-8") + "  - {work: feel whether it is warm, where: inside}\n"
    text = text.replace("steps:\n", "steps:\n  - {inspect: cord, expect: no crack or nick, otherwise: stop}\n", 1)
    path = reviews()[0].path
    now = tuple(Reviewed(path, r.title, r.audit) for r in review_file("-", shipped(), TODAY, standard_input=text.encode()))
    both = compared(now, earlier, shipped(), lambda path: True)
    data = json.loads(sarif(both, summed_up(both), shipped(), levels_only=levels_only))
    assert schema_errors(data) == []
    states = {result["baselineState"] for result in data["runs"][0]["results"]}
    assert states == ({"new", "unchanged"} if levels_only else {"new", "unchanged", "absent"})


def test_what_does_not_fail_has_no_level() -> None:
    """Section 3.27.10: with a `kind` other than `fail` the level is `none`."""
    pairs = {(result["kind"], result["level"] == "none") for result in run()["results"]}
    assert pairs == {("fail", False), ("open", True)}


def test_suppressions_are_given_for_all_results_or_for_none() -> None:
    """Section 3.27.23: the values for all results of a run are either all null or all not null."""
    assert all(isinstance(result["suppressions"], list) for result in run()["results"])


def test_a_rule_is_found_by_its_index() -> None:
    """Section 3.27.6."""
    rules = run()["tool"]["driver"]["rules"]
    assert all(rules[result["ruleIndex"]]["id"] == result["ruleId"] for result in run()["results"])


def test_an_artifact_is_found_by_its_index() -> None:
    """Section 3.4.5."""
    artifacts = run()["artifacts"]
    for result in run()["results"]:
        for where in (*result["locations"], *result["relatedLocations"]):
            at = where["physicalLocation"]["artifactLocation"]
            assert artifacts[at["index"]]["location"]["uri"] == at["uri"]


def test_a_region_ends_after_it_begins() -> None:
    """Section 3.30: endColumn is one greater than the column of the last character."""
    for result in run()["results"]:
        at = result["locations"][0]["physicalLocation"]["region"]
        assert (at["startLine"], at["startColumn"]) <= (at["endLine"], at["endColumn"])


def test_a_brace_in_a_message_is_doubled() -> None:
    """Section 3.11.5: one brace alone begins an argument."""
    notes = [note["message"]["text"] for note in run()["invocations"][0]["toolExecutionNotifications"]]
    every = notes + [result["message"]["text"] for result in run()["results"]]
    assert [said for said in every if "{" in said.replace("{{", "") or "}" in said.replace("}}", "")] == []


def test_a_base_of_paths_is_declared() -> None:
    """Section 3.14.14."""
    used = {artifact["location"].get("uriBaseId") for artifact in run()["artifacts"]} - {None}
    assert used <= set(run()["originalUriBaseIds"])
