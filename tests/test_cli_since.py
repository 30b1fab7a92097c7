"""The command line around reports: an earlier report, the forms for programs, the schemas, help."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import typer
from typer.testing import CliRunner

from auditor.cli import app
from auditor.cli.schema import Kind
from tests.written import with_steps

PLAN = with_steps("set_dial: 0 V", "plug_in: set", "switch_on: outlet", "switch_on: set", "set_dial: 60 V")


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "plan.yaml").write_text(PLAN)
    return tmp_path


def run(*arguments: str) -> tuple[int, str, str]:
    """Exit status, standard output and standard error."""
    ran = CliRunner().invoke(app, arguments)
    assert ran.exception is None or isinstance(ran.exception, SystemExit), ran.exception
    return ran.exit_code, ran.stdout, ran.stderr


def test_what_was_there_does_not_fail() -> None:
    assert run("audit", "plan.yaml", "--as", "json", "--output", "before.json")[0] == 1
    status, out, _ = run("audit", "plan.yaml", "--since", "before.json")
    assert status == 0
    assert "none is new" in out


def test_a_report_can_take_the_place_of_the_one_it_was_compared_with() -> None:
    run("audit", "plan.yaml", "--as", "json", "--output", "before.json")
    assert run("audit", "plan.yaml", "--since", "before.json", "--as", "json", "--output", "before.json")[0] == 0
    assert run("audit", "plan.yaml", "--since", "before.json")[0] == 0


def test_an_earlier_report_that_is_not_there_is_refused() -> None:
    status, out, err = run("audit", "plan.yaml", "--since", "none.json")
    assert (status, out) == (2, "")
    assert "none.json" in err


def test_an_earlier_report_that_is_broken_is_refused_with_its_place(here: Path) -> None:
    (here / "before.json").write_text('{"rules": {},\n "plans": [')
    status, out, err = run("audit", "plan.yaml", "--since", "before.json")
    assert (status, out) == (2, "")
    assert "line 2, column 12" in " ".join(err.split())


@pytest.mark.parametrize("form", ["sarif", "sarif-levels"])
def test_a_report_for_a_runner_is_written_whole_and_the_status_tells(form: str, here: Path) -> None:
    status, out, _ = run("audit", "plan.yaml", "--as", form, "--output", "findings.sarif")
    assert (status, out) == (1, "")
    assert json.loads((here / "findings.sarif").read_text(encoding="utf-8"))["version"] == "2.1.0"


@pytest.mark.parametrize("kind", list(Kind))
def test_every_schema_is_printed_and_written(kind: Kind, here: Path) -> None:
    status, out, _ = run("schema", kind.value)
    assert status == 0
    assert json.loads(out)["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert run("schema", kind.value, "--output", "file.json")[:2] == (0, "")
    assert (here / "file.json").read_text(encoding="utf-8") == out


def test_without_a_kind_the_schema_is_that_of_a_plan() -> None:
    assert run("schema")[1] == run("schema", "plan")[1]


def commands(command: Any, name: str = "") -> Iterator[tuple[str, Any]]:
    """Every command by the words that call it; one that has others below it can be called alone too."""
    if name:
        yield name, command
    for inner, found in getattr(command, "commands", {}).items():
        yield from commands(found, f"{name} {inner}".strip())


ALL = dict(commands(typer.main.get_command(app)))


@pytest.mark.parametrize("name", ALL)
def test_help_teaches_with_an_example_on_a_line_of_its_own(name: str) -> None:
    out = run(*name.split(), "--help")[1]
    assert "For example:\n" in out
    assert f"\n    auditor {name}" in out


@pytest.mark.parametrize("name", ALL)
def test_every_option_says_what_it_does(name: str) -> None:
    assert [param.name for param in ALL[name].params if not getattr(param, "help", None)] == []
