"""`auditor predict`: the table of expected readings."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Annotated

import typer

from auditor.cli.common import Output, PolicyFile, Table, one_plan, quantity, terminal_style, the_cards, write

if TYPE_CHECKING:
    from auditor.bench.forecast import Row


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
        rows = (at_setting(read, quantity(at, "voltage"), quantity(lamp, "power")),)
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
