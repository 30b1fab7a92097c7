"""`auditor predict`: the table of expected readings."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Annotated

import typer

from auditor.cli.common import Output, PolicyFile, Table, one_plan, quantity, stop, terminal_style, the_cards, write

if TYPE_CHECKING:
    from auditor.bench.forecast import Row
    from auditor.logic.interval import Interval
    from auditor.plan.plan import Plan


def predict(
    plan: Annotated[str, typer.Argument(metavar="PLAN", help="A plan (.yaml), or a page with one procedure.")],
    as_: Annotated[Table, typer.Option("--as", help="A table for a person; JSON or CSV for a program.")] = Table.text,
    at: Annotated[str | None, typer.Option(help="Only this dial setting, as in `--at 60V`.")] = None,
    lamp: Annotated[str | None, typer.Option(help="Only with this lamp, as in `--lamp 60W`.")] = None,
    choose_lamp: Annotated[bool, typer.Option(
        "--choose-lamp", help="What every common size of lamp would do for this set.")] = False,
    policy: PolicyFile = None,
    output: Output = None,
) -> None:
    """The table of expected readings, step by step, of a healthy set.

    \b
    For example:
      auditor predict plan.yaml
      auditor predict plan.yaml --at 90V --lamp 100W
    """
    from auditor.bench.assumptions import assumptions
    from auditor.bench.described import taken_for_granted
    from auditor.bench.forecast import at_setting, forecast
    from auditor.bench.lamp_choice import lamp_choices
    from auditor.bench.trace import replay
    from auditor.report.prediction import choice_lines, table_lines
    from auditor.report.prediction_data import as_csv, as_json

    read = one_plan(plan, the_cards(policy, plan))
    choices = lamp_choices(read) if choose_lamp else ()
    if choose_lamp:
        rows: tuple[Row, ...] = ()
    elif at is None and lamp is None:
        rows = forecast(replay(read))
    else:
        rows = (at_setting(read, _on_the_scale(read, quantity(at, "voltage")), _a_lamp(quantity(lamp, "power"))),)
    assumed = (*assumptions(read), *taken_for_granted(read))
    style = terminal_style(output)
    match as_:
        case Table.json:
            lines: Iterable[str] = [as_json(read.header.title, rows, choices, assumed)]
        case Table.csv:
            lines = [as_csv(rows).rstrip("\n")]
        case Table.text:
            lines = choice_lines(choices, style) if choose_lamp else table_lines(rows, assumed, style)
    write(lines, output)


def _on_the_scale(read: Plan, dial: Interval | None) -> Interval | None:
    """The setting, where the dial of the bench has it; stops where it has not."""
    output = read.record(read.dial).output if read.dial is not None else None
    if dial is not None and read.dial is None:
        stop("This bench has no dial, so there is nothing to set.")
    if dial is not None and output is not None and dial.high > output.high:
        stop(f"The dial of this bench ends at {output.high:g} V.")
    return dial


def _a_lamp(power: Interval | None) -> Interval | None:
    """The watts, where a lamp can have them; stops where none has."""
    if power is not None and not 0.0 < power.low <= power.high < float("inf"):
        stop("A lamp has some watts and not any number of them; write it like `60 W`.")
    return power
