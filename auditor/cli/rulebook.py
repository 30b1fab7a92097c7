"""`auditor rulebook`: the rules in force, and the proof of rule files."""

from __future__ import annotations

from typing import Annotated

import typer

from auditor.cli.common import FOUND, Output, PolicyFile, stop, stop_for_bad_rules, terminal_style, the_rulebook, write

rulebook_app = typer.Typer(rich_markup_mode=None)


@rulebook_app.callback(invoke_without_command=True)
def rulebook(context: typer.Context, policy: PolicyFile = None) -> None:
    """List the rules in force, their limits, and where each came from; `auditor rulebook prove FILE...` proves files.

    \b
    For example:
      auditor rulebook
      auditor rulebook --policy power-up-policy.yaml
    """
    if context.invoked_subcommand is None:
        from auditor.report.rule_text import list_lines

        write(list_lines(the_rulebook(policy), terminal_style()))


@rulebook_app.command()
def prove(
    files: Annotated[list[str] | None, typer.Argument(
        metavar="FILE", help="Rule files and policies to prove beside the shipped rules; none proves those alone.")] = None,
) -> None:
    """Check rule files and policies, and run their examples.

    \b
    For example:
      auditor rulebook prove rules/limiter.yaml
      auditor rulebook prove power-up-policy.yaml
    """
    from auditor.report.proof_text import proof_lines
    from auditor.review.prove import prove_files
    from auditor.rulebook.load import BadRules

    try:
        proof = prove_files(files or [])
    except BadRules as error:
        stop_for_bad_rules(error)
    write(proof_lines(proof, terminal_style()))
    raise typer.Exit(FOUND if proof.failures else 0)


@rulebook_app.command()
def page(output: Output = None) -> None:
    """The shipped rules as a page for a wiki.

    It lists them by stage and hazard, by published clause, and by what practice asks for.

    \b
    For example:
      auditor rulebook page --output rules/CATALOGUE.md
    """
    from auditor.report.rules_page import page_lines
    from auditor.rulebook.coverage import load_coverage
    from auditor.rulebook.load import BadRules, load_rulebook

    try:
        shipped = load_rulebook()
    except BadRules as error:
        stop_for_bad_rules(error)
    try:
        lines = tuple(page_lines(shipped, load_coverage()))
    except ValueError as error:
        stop(f"The page cannot be written: {error}. Mend the source, or add the document there.")
    write(lines, output)
