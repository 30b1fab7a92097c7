"""What the commands share: exit status, forms of a report, reading what was asked for, writing what was found."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from enum import StrEnum
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

if TYPE_CHECKING:
    from auditor.logic.interval import Interval
    from auditor.plan.plan import Plan
    from auditor.plan.problems import Unreadable
    from auditor.report.style import Style
    from auditor.rulebook.load import BadRules
    from auditor.rulebook.rule import Rulebook

FOUND, UNUSABLE = 1, 2
"""Exit status: something counts; something that was asked for could not be used."""


Output = Annotated[str | None, typer.Option(
    "--output", metavar="FILE", help="Write to this file instead, whole or not at all.")]


PolicyFile = Annotated[str | None, typer.Option(
    "--policy", metavar="FILE", help="The policy to go by, in place of the power-up-policy.yaml nearest above each plan.")]


class TextOrJson(StrEnum):
    """For a person, or for a program."""

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


def the_rulebook(policy: str | None = None, plan: str | None = None) -> Rulebook:
    """The rules in force for a plan, or where one stands: under this policy, or under the one nearest above."""
    from auditor.plan.files import STANDARD_INPUT

    plan = plan if plan is not None else STANDARD_INPUT
    return the_rulebooks(policy, [plan])[plan]


def the_rulebooks(policy: str | None, plans: Iterable[str]) -> dict[str, Rulebook]:
    """The rules in force for each plan. Where any of their policies cannot be used, nothing is audited."""
    from auditor.rulebook.load import BadRules, load_rulebook
    from auditor.rulebook.policy import rules_for

    try:
        return rules_for(load_rulebook(), plans, policy)
    except BadRules as error:
        stop_for_bad_rules(error)


def stop_for_bad_rules(error: BadRules) -> NoReturn:
    """Say what is wrong with rule files, and stop."""
    from auditor.report.proof_text import problem_lines

    for line in problem_lines(error, terminal_style()):
        print(line, file=sys.stderr)
    raise typer.Exit(UNUSABLE)


def the_cards(policy: str | None, plan: str) -> str | None:
    """The folder of bench cards that the policy for a plan names; the rules are read only where there is a policy."""
    from auditor.rulebook.policy import policies_above

    if policy is None and policies_above([plan])[plan] is None:
        return None
    in_force = the_rulebook(policy, plan).policy
    return in_force.cards if in_force is not None else None


def one_plan(path: str, cards: str | None = None) -> Plan:
    """The only plan of a file, with its card: beside it, or in the folder `cards`."""
    from auditor.plan.files import STANDARD_INPUT, plan_texts
    from auditor.plan.problems import Unreadable

    texts = tuple(plan_texts(path, sys.stdin.buffer.read() if path == STANDARD_INPUT else b"", cards=cards))
    if len(texts) != 1:
        stop(f"{path} holds {len(texts)} procedures; this command takes one.")
    if texts[0].is_card:
        stop(f"{path} is a bench card, which holds no procedure; `auditor audit` audits it by itself.")
    try:
        return texts[0].read()
    except Unreadable as error:
        stop_for_unreadable(error, path)


def stop_for_unreadable(error: Unreadable, path: str) -> NoReturn:
    """Say why a plan cannot be read, and stop."""
    from auditor.report.terminal import problem_lines

    for problem in error.problems:
        for line in problem_lines(problem, path, terminal_style()):
            print(line, file=sys.stderr)
    raise typer.Exit(UNUSABLE)


def quantity(text: str | None, kind: str) -> Interval | None:
    """A number with its unit, as an option gives it; never below zero."""
    from auditor.logic.dimension import DIMENSIONS
    from auditor.logic.interval import Interval
    from auditor.logic.quantity import QuantityError, parse_quantity

    if text is None:
        return None
    try:
        found = parse_quantity(text, DIMENSIONS[kind])
    except QuantityError as error:
        told = error.suggestion is None or f"`{error.suggestion}`" in error.message
        stop(f"`{text}`: {error.message}." + ("" if told else f" Try `{error.suggestion}`."))
    if found.high < 0.0 or -float("inf") < found.low < 0.0:
        stop(f"`{text}` goes below zero; a {kind} is written by its size.")
    return Interval(max(found.low, 0.0), found.high)


def stop(message: str) -> NoReturn:
    """Say what could not be used, and stop."""
    print(message, file=sys.stderr)
    raise typer.Exit(UNUSABLE)


def terminal_style(output: str | None = None) -> Style:
    """As wide as the terminal and in its colours; plain where the report goes to a file or to another program."""
    import os
    import shutil

    from auditor.report.style import Style

    at_terminal = output is None and sys.stdout.isatty()
    width = shutil.get_terminal_size((88, 24)).columns if at_terminal else 88
    return Style(max(40, min(width, 110)), at_terminal and not os.environ.get("NO_COLOR"))


def write(lines: Iterable[str], output: str | None = None) -> None:
    """Write lines to the terminal, or whole or not at all to the file `output`."""
    # The name of a file may hold bytes that are no characters; JSON reads the escape back.
    write_bytes("".join(f"{line}\n" for line in lines).encode("utf-8", "backslashreplace"), output)


def write_bytes(content: bytes, output: str | None = None) -> None:
    """Write to the terminal, or whole or not at all to the file `output`."""
    if output is None:
        sys.stdout.buffer.write(content)
        sys.stdout.flush()
        return
    from auditor.report.whole_file import write_whole

    try:
        write_whole(output, content)
    except OSError as error:
        stop(f"The report cannot be written to {output}: {error.strerror}.")
