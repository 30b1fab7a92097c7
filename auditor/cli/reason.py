"""`auditor reason`: one rule or fault told in full."""

from __future__ import annotations

from typing import Annotated

import typer

from auditor.cli.common import stop, terminal_style, the_rulebook, write


def reason(rule: Annotated[str, typer.Argument(
        metavar="NAME", help="The name of a rule, as a finding prints it, or of a fault.")]) -> None:
    """The requirement, reason, source, remedy and examples of one rule; or what one fault does and what stands against it.

    For example: auditor reason isolate-a-hot-chassis    or    auditor reason short-in-the-cord
    """
    from auditor.plan.nearest import nearest

    rulebook = the_rulebook()
    found = rulebook.by_name.get(rule)
    if found is not None:
        from auditor.report.rule_text import rule_lines

        write(rule_lines(found, rulebook, terminal_style()))
        return
    from auditor.report.fault_text import fault_lines
    from auditor.whatif.catalogue import load_catalogue

    entries = {entry.fault.fault: entry for entry in load_catalogue()}
    if rule in entries:
        write(fault_lines(entries[rule], terminal_style()))
        return
    guess = nearest(rule, (*rulebook.by_name, *entries))
    stop(f"No rule and no fault is called `{rule}`." + (f" Did you mean `{guess}`?" if guess else
          " `auditor rulebook` lists the rules, `auditor whatif PLAN` the faults."))
