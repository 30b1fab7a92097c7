"""The commands, one module each. Each imports what it needs when it is called, so that starting costs little."""

from __future__ import annotations

# ruff: noqa: E402
import atexit
import gc
import os

# A command makes much that lives to its end and hardly any cycles. Looking for those costs a tenth of a short run, and
# looking for them once more when it ends another tenth.
gc.set_threshold(200_000)
atexit.register(gc.freeze)
# No part of another package has a say in how a plan is read; looking for such parts goes through all that is installed.
os.environ["PYDANTIC_DISABLE_PLUGINS"] = "__all__"

from collections.abc import Callable
from typing import Annotated

import typer

from auditor import __version__
from auditor.cli.audit import audit
from auditor.cli.index import index
from auditor.cli.predict import predict
from auditor.cli.reason import reason
from auditor.cli.rulebook import rulebook_app
from auditor.cli.schema import schema
from auditor.cli.sheet import sheet
from auditor.cli.whatif import whatif

app = typer.Typer(
    rich_markup_mode=None, no_args_is_help=True, add_completion=True, pretty_exceptions_enable=False,
)


@app.callback(invoke_without_command=True)
def main(version: Annotated[bool, typer.Option("--version", help="Print the version and stop.")] = False) -> None:
    """Review a written power-up procedure for old mains-powered electronics. It never says that one is safe.

    \b
    To begin with:
      auditor audit plan.yaml
      auditor reason isolate-a-hot-chassis
      auditor whatif plan.yaml
    """
    if version:
        print(f"auditor {__version__}")
        raise typer.Exit()


IN_A_LINE: dict[Callable[..., None], str] = {
    audit: "Findings for plans, folders of plans, and pages.",
    index: "The table of all plans under a folder.",
    predict: "The table of expected readings, step by step.",
    whatif: "Every usual fault against every step.",
    sheet: "The bench sheet to print and take along.",
    reason: "One rule, hazard, safeguard, fault or word in full.",
    schema: "What a plan may say; JSON Schema of it and the other files.",
}
"""What `auditor --help` says of each command."""

for command, says in IN_A_LINE.items():
    app.command(short_help=says)(command)
app.add_typer(rulebook_app, name="rulebook", invoke_without_command=True, short_help="The rules in force, and their proof.")
