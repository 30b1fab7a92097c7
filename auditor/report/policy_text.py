"""Under which policy plans were audited, and what it changes."""

from __future__ import annotations

from collections.abc import Iterator

from auditor.report.phrases import policy_in_force
from auditor.report.style import Style
from auditor.rulebook.policy import Policy


def policy_lines(policy: Policy | None, style: Style) -> Iterator[str]:
    """The policy by its title and file, and wherever it asks for less than the rules do; nothing where there is none."""
    if policy is None:
        return
    yield style.wrapped(policy_in_force(policy), rest="  ")
    for weakness in policy.weakens:
        yield style.wrapped(weakness, first="  Asks for less: ", rest="    ")
