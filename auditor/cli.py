"""The commands. Each imports what it needs when it is called, so that starting costs little."""

from __future__ import annotations

import gc
import sys
from collections.abc import Iterable
from enum import StrEnum
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from auditor import __version__

if TYPE_CHECKING:
    from auditor.bench.forecast import Row
    from auditor.logic.interval import Interval
    from auditor.plan.plan import Plan
    from auditor.plan.problems import Unreadable
    from auditor.report.style import Style
    from auditor.review.finding import Audit
    from auditor.review.run import Reviewed
    from auditor.rulebook.load import BadRules
    from auditor.rulebook.rule import Rulebook

FOUND, UNUSABLE = 1, 2
"""Exit status: something counts; something that was asked for could not be used."""

# A command makes much that lives to its end and hardly any cycles; looking for those costs a tenth of a short run.
gc.set_threshold(200_000)

app = typer.Typer(
    rich_markup_mode=None, no_args_is_help=True, add_completion=True, pretty_exceptions_enable=False,
    help="Review a written power-up procedure for old mains-powered electronics. It never says that one is safe.",
)


class Form(StrEnum):
    """How a report is written."""

    text = "text"
    json = "json"


class Table(StrEnum):
    """How a table is written."""

    text = "text"
    json = "json"
    csv = "csv"


class SignalWord(StrEnum):
    """The signal words, most serious first."""

    DANGER = "DANGER"
    WARNING = "WARNING"
    CAUTION = "CAUTION"
    NOTICE = "NOTICE"


@app.callback(invoke_without_command=True)
def main(version: Annotated[bool, typer.Option("--version", help="Print the version and stop.")] = False) -> None:
    """Review a written power-up procedure for old mains-powered electronics. It never says that one is safe."""
    if version:
        print(f"auditor {__version__}")
        raise typer.Exit()


@app.command()
def audit(
    paths: Annotated[list[str], typer.Argument(
        metavar="PATH", help="Plans (.yaml), pages with procedures (.md), folders of both, or - for standard input.")],
    as_: Annotated[Form, typer.Option("--as", help="Text for a person, or JSON for a program.")] = Form.text,
    at_least: Annotated[SignalWord, typer.Option(
        help="Findings count for the exit status from this signal word up.", case_sensitive=False,
    )] = SignalWord.CAUTION,
) -> None:
    """Findings for plans, folders of plans, and Markdown pages that contain plans.

    Exit status: 0 nothing counts, 1 something counts, 2 something asked for could not be used.

    For example: auditor audit procedures/    or    auditor audit - < plan.yaml
    """
    from datetime import date

    from auditor.plan.files import STANDARD_INPUT, files_under
    from auditor.report.progress import with_progress
    from auditor.review.run import review_file, summed_up

    rulebook = _rulebook()
    files = files_under(paths)
    given = sys.stdin.buffer.read() if STANDARD_INPUT in files else b""
    today = date.today()
    style = _style()
    reviews: list[Reviewed] = []
    for file in with_progress(files):
        for reviewed in review_file(file, rulebook, today, standard_input=given, asked_by_name=file in paths):
            reviews.append(reviewed)
    summary = summed_up(reviews, at_least.value)
    if as_ is Form.json:
        from auditor.report.as_json import report

        _write([report(reviews, summary)])
    else:
        from auditor.report.terminal import reviewed_lines, summary_lines

        _write(line for reviewed in reviews for line in reviewed_lines(reviewed, style))
        _write(summary_lines(summary, style))
    raise typer.Exit(summary.exit_status)


@app.command()
def predict(
    plan: Annotated[str, typer.Argument(metavar="PLAN", help="A plan (.yaml), or a page with one procedure.")],
    as_: Annotated[Table, typer.Option("--as", help="A table for a person; JSON or CSV for a program.")] = Table.text,
    at: Annotated[str | None, typer.Option(help="Only this dial setting, as in `--at 60V`.")] = None,
    lamp: Annotated[str | None, typer.Option(help="Only with this lamp, as in `--lamp 60W`.")] = None,
    choose_lamp: Annotated[bool, typer.Option(
        "--choose-lamp", help="What every common size of lamp would do for this set.")] = False,
) -> None:
    """The table of expected readings, step by step, of a healthy set.

    For example: auditor predict plan.yaml    or    auditor predict plan.yaml --at 90V --lamp 100W
    """
    from auditor.bench.assumptions import assumptions
    from auditor.bench.described import taken_for_granted
    from auditor.bench.forecast import at_setting, forecast
    from auditor.bench.lamp_choice import lamp_choices
    from auditor.bench.trace import replay
    from auditor.report.prediction import choice_lines, table_lines
    from auditor.report.prediction_data import as_csv, as_json

    read = _one_plan(plan)
    choices = lamp_choices(read) if choose_lamp else ()
    if choose_lamp:
        rows: tuple[Row, ...] = ()
    elif at is None and lamp is None:
        rows = forecast(replay(read))
    else:
        rows = (at_setting(read, _quantity(at, "voltage"), _quantity(lamp, "power")),)
    assumed = (*assumptions(read), *taken_for_granted(read))
    if as_ is Table.json:
        _write([as_json(read.header.title, rows, choices, assumed)])
    elif as_ is Table.csv:
        _write([as_csv(rows).rstrip("\n")])
    else:
        _write(choice_lines(choices, _style()) if choose_lamp else table_lines(rows, assumed, _style()))


@app.command()
def whatif(
    plan: Annotated[str, typer.Argument(metavar="PLAN", help="A plan (.yaml), or a page with one procedure.")],
    fault: Annotated[str | None, typer.Option(help="Tell this one fault step by step.", metavar="NAME")] = None,
    safeguards: Annotated[bool, typer.Option(
        "--safeguards", help="What gets through when each safeguard of the plan alone is taken out.")] = False,
    as_: Annotated[Form, typer.Option("--as", help="Text for a person, or JSON for a program.")] = Form.text,
) -> None:
    """Every usual fault against every step: what gets through, what contains it, and by which sign it is noticed.

    Exit status: 0 nothing harms a person, or only what no written procedure can contain; 1 a fault, or the plan with
    everything well, harms a person, or no step powers the set; 2 something asked for could not be used.

    For example: auditor whatif plan.yaml    or    auditor whatif plan.yaml --fault short-in-the-cord
    """
    from datetime import date

    from auditor.bench.assumptions import assumptions
    from auditor.bench.described import taken_for_granted
    from auditor.plan.problems import Unreadable
    from auditor.review.review import review_plan

    if fault is not None and safeguards:
        _stop("Ask for one fault, or for the safeguards, not for both at once.")
    read = _one_plan(plan)
    if not read.steps:
        _stop(f"{plan} has no steps, so there is nothing to play a fault through.")
    assumed = (*assumptions(read), *taken_for_granted(read))
    if safeguards:
        _safeguards(read, assumed, as_)
        return
    try:
        audit = review_plan(read, _rulebook(), date.today())
    except Unreadable as error:
        _unreadable(error, plan)
    if fault is not None:
        raise typer.Exit(_one_fault(read, fault, audit, assumed, as_))
    raise typer.Exit(_all_faults(read, audit, assumed, as_))


def _all_faults(read: Plan, audit: Audit, assumed: tuple[str, ...], as_: Form) -> int:
    from auditor.bench.facts import replayed
    from auditor.report.progress import bar
    from auditor.report.whatif import counts, what_if_lines
    from auditor.review.finding import Verdict
    from auditor.whatif.catalogue import load_catalogue
    from auditor.whatif.whatif import Trial, what_if

    trace, powered = replayed(read), audit.verdict is not Verdict.NOTHING_TO_REVIEW
    with bar("Trying faults", len(load_catalogue())) as progress:
        found = what_if(trace, progress=progress)
    status = FOUND if counts(found.healthy, found.outcomes) or not powered else 0
    if as_ is Form.json:
        from auditor.report.whatif_data import faults_json
        from auditor.whatif.story import matrix

        _write([faults_json(found, matrix(Trial(trace), found.outcomes), audit.outcomes, assumed, status)])
    else:
        _write(what_if_lines(found, audit.outcomes, assumed, powered, _style()))
    return status


def _one_fault(read: Plan, name: str, audit: Audit, assumed: tuple[str, ...], as_: Form) -> int:
    from auditor.bench.facts import replayed
    from auditor.plan.nearest import nearest
    from auditor.report.whatif import counts
    from auditor.report.whatif_data import story_json
    from auditor.report.whatif_story import story_lines
    from auditor.whatif.catalogue import load_catalogue
    from auditor.whatif.story import told
    from auditor.whatif.whatif import Trial

    entries = {entry.fault.fault: entry for entry in load_catalogue()}
    if name not in entries:
        guess = nearest(name, tuple(entries))
        _stop(f"No fault is called `{name}`." + (f" Did you mean `{guess}`?" if guess else
                                                 " `auditor whatif PLAN` lists them."))
    story = told(Trial(replayed(read)), entries[name])
    status = FOUND if counts((), (story.outcome,)) else 0
    _write([story_json(read, story, audit.outcomes, assumed, status)] if as_ is Form.json
           else story_lines(story, read, audit.outcomes, assumed, _style()))
    return status


def _safeguards(read: Plan, assumed: tuple[str, ...], as_: Form) -> None:
    from auditor.report.progress import bar
    from auditor.report.whatif_data import uses_json
    from auditor.report.whatif_safeguards import use_lines
    from auditor.whatif.safeguards import safeguards, uses

    with bar("Taking out safeguards", len(safeguards(read))) as progress:
        found = tuple(uses(read, progress=progress))
    _write([uses_json(read, found, assumed, 0)] if as_ is Form.json
           else use_lines(read.header.title, found, assumed, _style()))


@app.command()
def reason(rule: Annotated[str, typer.Argument(
        metavar="NAME", help="The name of a rule, as a finding prints it, or of a fault.")]) -> None:
    """The requirement, reason, source, remedy and examples of one rule; or what one fault does and what stands against it.

    For example: auditor reason isolate-a-hot-chassis    or    auditor reason short-in-the-cord
    """
    from auditor.plan.nearest import nearest

    rulebook = _rulebook()
    found = rulebook.by_name.get(rule)
    if found is not None:
        from auditor.report.rule_text import rule_lines

        _write(rule_lines(found, rulebook, _style()))
        return
    from auditor.report.fault_text import fault_lines
    from auditor.whatif.catalogue import load_catalogue

    entries = {entry.fault.fault: entry for entry in load_catalogue()}
    if rule in entries:
        _write(fault_lines(entries[rule], _style()))
        return
    guess = nearest(rule, (*rulebook.by_name, *entries))
    _stop(f"No rule and no fault is called `{rule}`." + (f" Did you mean `{guess}`?" if guess else
          " `auditor rulebook` lists the rules, `auditor whatif PLAN` the faults."))


rulebook_app = typer.Typer(rich_markup_mode=None, help="List the rules in force, or prove rule files.")
app.add_typer(rulebook_app, name="rulebook", invoke_without_command=True)


@rulebook_app.callback(invoke_without_command=True)
def rulebook(context: typer.Context) -> None:
    """List the rules in force; `auditor rulebook prove FILE...` proves rule files."""
    if context.invoked_subcommand is None:
        from auditor.report.rule_text import list_lines

        _write(list_lines(_rulebook(), _style()))


@rulebook_app.command()
def prove(
    files: Annotated[list[str] | None, typer.Argument(
        metavar="FILE", help="Rule files to prove beside the shipped rules; none proves those alone.")] = None,
) -> None:
    """Check rule files and run the examples of every rule in them.

    For example: auditor rulebook prove rules/limiter.yaml
    """
    from auditor.report.proof_text import proof_lines
    from auditor.review.prove import prove_files
    from auditor.rulebook.load import BadRules

    try:
        proof = prove_files(files or [])
    except BadRules as error:
        _bad_rules(error)
    _write(proof_lines(proof, _style()))
    raise typer.Exit(FOUND if proof.failures else 0)


@app.command()
def schema() -> None:
    """The JSON Schema of the report that `auditor audit --as json` writes."""
    from auditor.report.as_json import SCHEMA

    print(SCHEMA.read_text(encoding="utf-8"), end="")


def _rulebook() -> Rulebook:
    from auditor.rulebook.load import BadRules, load_rulebook

    try:
        return load_rulebook()
    except BadRules as error:
        _bad_rules(error)


def _bad_rules(error: BadRules) -> NoReturn:
    from auditor.report.proof_text import problem_lines

    for line in problem_lines(error, _style()):
        print(line, file=sys.stderr)
    raise typer.Exit(UNUSABLE)


def _one_plan(path: str) -> Plan:
    """The only plan of a file."""
    from auditor.plan.files import STANDARD_INPUT, plan_texts
    from auditor.plan.problems import Unreadable

    texts = tuple(plan_texts(path, sys.stdin.buffer.read() if path == STANDARD_INPUT else b""))
    if len(texts) != 1:
        _stop(f"{path} holds {len(texts)} procedures; this command takes one.")
    try:
        return texts[0].read()
    except Unreadable as error:
        _unreadable(error, path)


def _unreadable(error: Unreadable, path: str) -> NoReturn:
    from auditor.report.terminal import problem_lines

    for problem in error.problems:
        for line in problem_lines(problem, path, _style()):
            print(line, file=sys.stderr)
    raise typer.Exit(UNUSABLE)


def _quantity(text: str | None, kind: str) -> Interval | None:
    from auditor.logic.dimension import DIMENSIONS
    from auditor.logic.quantity import QuantityError, parse_quantity

    if text is None:
        return None
    try:
        return parse_quantity(text, DIMENSIONS[kind])
    except QuantityError as error:
        _stop(error.message + (f" Try {error.suggestion}." if error.suggestion else ""))


def _stop(message: str) -> NoReturn:
    print(message, file=sys.stderr)
    raise typer.Exit(UNUSABLE)


def _style() -> Style:
    import os
    import shutil

    from auditor.report.style import Style

    at_terminal = sys.stdout.isatty()
    width = shutil.get_terminal_size((88, 24)).columns if at_terminal else 88
    return Style(max(40, min(width, 110)), at_terminal and not os.environ.get("NO_COLOR"))


def _write(lines: Iterable[str]) -> None:
    text = "".join(f"{line}\n" for line in lines)
    # The name of a file may hold bytes that are no characters; JSON reads the escape back.
    sys.stdout.buffer.write(text.encode("utf-8", "backslashreplace"))
    sys.stdout.flush()


if __name__ == "__main__":
    app()
