"""`auditor whatif`: every usual fault against every step."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Annotated

import typer

from auditor.cli.common import (
    FOUND,
    Output,
    PolicyFile,
    TextOrJson,
    one_plan,
    stop,
    stop_for_unreadable,
    terminal_style,
    the_rulebook,
    write,
)
from auditor.cli.complete import faults

if TYPE_CHECKING:
    from auditor.plan.plan import Plan
    from auditor.report.style import Style
    from auditor.review.finding import Audit
    from auditor.rulebook.policy import Policy

    Told = tuple[int, Iterable[str]]
    """An exit status, and the lines to write."""


def whatif(
    plan: Annotated[str, typer.Argument(metavar="PLAN", help="A plan (.yaml), or a page with one procedure.")],
    fault: Annotated[str | None, typer.Option(
        help="Tell this one fault step by step.", metavar="NAME", autocompletion=faults)] = None,
    safeguards: Annotated[bool, typer.Option(
        "--safeguards", help="What gets through when each safeguard of the plan alone is taken out.")] = False,
    as_: Annotated[TextOrJson, typer.Option("--as", help="Text for a person, or JSON for a program.")] = TextOrJson.text,
    policy: PolicyFile = None,
    output: Output = None,
) -> None:
    """Every usual fault against every step: what gets through, what contains it, and by which sign it is noticed.

    Exit status: 0 nothing harms a person, or only what no written procedure can contain; 1 a fault, or the plan with
    everything well, harms a person, or no step powers the set; 2 something asked for could not be used.

    \b
    For example:
      auditor whatif plan.yaml
      auditor whatif plan.yaml --fault short-in-the-cord
    """
    from datetime import date

    from auditor.bench.assumptions import assumptions
    from auditor.bench.described import taken_for_granted
    from auditor.plan.problems import Unreadable
    from auditor.review.review import review_plan

    if fault is not None and safeguards:
        stop("Ask for one fault, or for the safeguards, not for both at once.")
    rulebook = the_rulebook(policy, plan)
    read = one_plan(plan, rulebook.policy.cards if rulebook.policy is not None else None)
    if not read.steps:
        stop(f"{plan} has no steps, so there is nothing to play a fault through.")
    assumed = (*rulebook.notes, *assumptions(read), *taken_for_granted(read))
    style = terminal_style(output)
    if safeguards:
        write(_safeguards(read, rulebook.policy, assumed, as_, style), output)
        return
    try:
        audit = review_plan(read, rulebook, date.today())
    except Unreadable as error:
        stop_for_unreadable(error, plan)
    if fault is not None:
        status, lines = _one_fault(read, fault, audit, assumed, as_, style)
    else:
        status, lines = _all_faults(read, audit, assumed, as_, style)
    write(lines, output)
    raise typer.Exit(status)


def _all_faults(read: Plan, audit: Audit, assumed: tuple[str, ...], as_: TextOrJson, style: Style) -> Told:
    from auditor.bench.facts import replayed
    from auditor.report.progress import bar
    from auditor.report.whatif import counts, outcomes_of, what_if_lines
    from auditor.review.finding import Verdict
    from auditor.whatif.catalogue import load_catalogue
    from auditor.whatif.whatif import Trial, what_if

    rules, policy = outcomes_of(audit), audit.policy
    trace, powered = replayed(read), audit.verdict is not Verdict.NOTHING_TO_REVIEW
    with bar("Trying faults", len(load_catalogue())) as progress:
        found = what_if(trace, progress=progress)
    status = FOUND if counts(found.healthy, found.outcomes) or not powered else 0
    if as_ is TextOrJson.json:
        from auditor.report.whatif_data import faults_json
        from auditor.whatif.story import matrix

        return status, [faults_json(found, matrix(Trial(trace), found.outcomes), rules, assumed, status, policy)]
    return status, what_if_lines(found, rules, assumed, powered, style, policy)


def _one_fault(
        read: Plan, name: str, audit: Audit, assumed: tuple[str, ...], as_: TextOrJson, style: Style) -> Told:
    from auditor.bench.facts import replayed
    from auditor.plan.nearest import nearest
    from auditor.report.whatif import counts, outcomes_of
    from auditor.report.whatif_data import story_json
    from auditor.report.whatif_story import story_lines
    from auditor.whatif.catalogue import load_catalogue
    from auditor.whatif.story import told
    from auditor.whatif.whatif import Trial

    entries = {entry.fault.fault: entry for entry in load_catalogue()}
    if name not in entries:
        guess = nearest(name, tuple(entries))
        stop(f"No fault is called `{name}`." + (f" Did you mean `{guess}`?" if guess else
                                                 " `auditor whatif PLAN` lists them."))
    story = told(Trial(replayed(read)), entries[name])
    status = FOUND if counts((), (story.outcome,)) else 0
    if as_ is TextOrJson.json:
        return status, [story_json(read, story, outcomes_of(audit), assumed, status, audit.policy)]
    return status, story_lines(story, read, outcomes_of(audit), assumed, style, audit.policy)


def _safeguards(read: Plan, policy: Policy | None, assumed: tuple[str, ...], as_: TextOrJson, style: Style
                ) -> Iterable[str]:
    from auditor.report.progress import bar
    from auditor.report.whatif_data import uses_json
    from auditor.report.whatif_safeguards import use_lines
    from auditor.whatif.safeguards import safeguards, uses

    with bar("Taking out safeguards", len(safeguards(read))) as progress:
        found = tuple(uses(read, progress=progress))
    if as_ is TextOrJson.json:
        return [uses_json(read, found, assumed, 0, policy)]
    return use_lines(read.header.title, found, assumed, style, policy)
