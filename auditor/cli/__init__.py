"""The commands, one module each. Each imports what it needs when it is called, so that starting costs little."""

from __future__ import annotations

import gc
from typing import Annotated

import typer

from auditor import __version__
from auditor.cli.audit import audit
from auditor.cli.predict import predict
from auditor.cli.reason import reason
from auditor.cli.rulebook import rulebook_app
from auditor.cli.schema import schema
from auditor.cli.whatif import whatif

# A command makes much that lives to its end and hardly any cycles; looking for those costs a tenth of a short run.
gc.set_threshold(200_000)

app = typer.Typer(
    rich_markup_mode=None, no_args_is_help=True, add_completion=True, pretty_exceptions_enable=False,
    help="Review a written power-up procedure for old mains-powered electronics. It never says that one is safe.",
)


@app.callback(invoke_without_command=True)
def main(version: Annotated[bool, typer.Option("--version", help="Print the version and stop.")] = False) -> None:
    """Review a written power-up procedure for old mains-powered electronics. It never says that one is safe."""
    if version:
        print(f"auditor {__version__}")
        raise typer.Exit()


for command in (audit, predict, whatif, reason, schema):
    app.command()(command)
app.add_typer(rulebook_app, name="rulebook", invoke_without_command=True)
