"""What a shell completes, by the script that is installed into it."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from auditor.cli.complete import explained, faults
from auditor.rulebook.load import load_rulebook
from auditor.whatif.catalogue import load_catalogue

ROOT = Path(__file__).resolve().parents[1]


@pytest.fixture
def tools(tmp_path: Path) -> dict[str, str]:
    """An environment in which `auditor` is a command."""
    command = tmp_path / "auditor"
    command.write_text(f"#!{sys.executable}\nimport sys\nsys.argv[0] = 'auditor'\nfrom auditor.cli import app\napp()\n")
    command.chmod(0o755)
    return {**os.environ, "PATH": f"{tmp_path}{os.pathsep}{os.environ['PATH']}", "PYTHONPATH": str(ROOT)}


def needs(shell: str) -> pytest.MarkDecorator:
    return pytest.mark.skipif(shutil.which(shell) is None, reason=f"there is no {shell}")


def completed_by_bash(line: str, environment: dict[str, str]) -> list[str]:
    """What bash would offer at the end of a line, by the function of the installed script."""
    words = line.split(" ")
    quoted = " ".join(f"'{word}'" for word in words)
    script = (f"eval \"$(_AUDITOR_COMPLETE=source_bash auditor)\"; COMP_WORDS=({quoted}); COMP_CWORD={len(words) - 1}; "
              "_auditor_completion auditor; printf '%s\\n' \"${COMPREPLY[@]}\"")
    ran = subprocess.run(["bash", "-c", script], env=environment, capture_output=True, text=True, check=True)
    return ran.stdout.split()


@needs("bash")
@pytest.mark.parametrize(("line", "offered"), [
    ("auditor sch", ["schema"]),
    ("auditor audit --as s", ["sarif", "sarif-levels"]),
    ("auditor schema r", ["rules", "report"]),
    ("auditor reason isolate-a", ["isolate-a-hot-chassis"]),
    ("auditor whatif plan.yaml --fault short-in-the-c", ["short-in-the-cord"]),
])
def test_bash_completes(line: str, offered: list[str], tools: dict[str, str]) -> None:
    assert completed_by_bash(line, tools) == offered


@pytest.mark.parametrize("shell", [pytest.param(shell, marks=needs(shell)) for shell in ("zsh", "fish")])
def test_another_shell_takes_the_script_and_asks_it(shell: str, tools: dict[str, str]) -> None:
    def told(**asked: str) -> str:
        return subprocess.run(["auditor"], env={**tools, **asked}, capture_output=True, text=True, check=True).stdout

    script = told(_AUDITOR_COMPLETE=f"source_{shell}")
    assert "_AUDITOR_COMPLETE" in script
    subprocess.run([shell, "-n", "-c", script], env=tools, check=True)
    assert "isolate-a-hot-chassis" in told(
        _AUDITOR_COMPLETE=f"complete_{shell}", _TYPER_COMPLETE_ARGS="auditor reason isolate-a",
        _TYPER_COMPLETE_FISH_ACTION="get-args")


def test_every_rule_and_every_fault_is_offered() -> None:
    assert {rule.name for rule in load_rulebook().rules} <= set(explained(""))
    assert {entry.fault.fault for entry in load_catalogue()} == set(faults("")) <= set(explained(""))


def test_only_what_begins_so_is_offered() -> None:
    assert explained("isolate-a") == ["isolate-a-hot-chassis"]
    assert explained("xyzzy") == []


def test_offering_names_needs_neither_rules_nor_schema() -> None:
    told = subprocess.run(
        [sys.executable, "-c", "import sys, auditor.cli.complete as c; c.explained('a'); print(*sys.modules)"],
        env={**os.environ, "PYTHONPATH": str(ROOT)}, capture_output=True, text=True, check=True).stdout.split()
    assert {"pydantic", "ruamel", "auditor.rulebook.load", "numpy"} & set(told) == set()
