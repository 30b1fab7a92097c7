"""`auditor rulebook`: the rules in force, and the proof of rule files."""

from __future__ import annotations

from typing import Annotated

import typer

from auditor.cli.common import FOUND, stop_for_bad_rules, terminal_style, the_rulebook, write

rulebook_app = typer.Typer(rich_markup_mode=None, help="List the rules in force, or prove rule files.")
@rulebook_app.callback(invoke_without_command=True)
def rulebook(context: typer.Context) -> None:
    """List the rules in force; `auditor rulebook prove FILE...` proves rule files."""
    if context.invoked_subcommand is None:
        from auditor.report.rule_text import list_lines

        write(list_lines(the_rulebook(), terminal_style()))


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
        stop_for_bad_rules(error)
    write(proof_lines(proof, terminal_style()))
    raise typer.Exit(FOUND if proof.failures else 0)
