"""What an audit loads before it can begin: nothing that it does not need."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

import auditor
from tests.written import with_steps

PLAN = with_steps("set_dial: 0 V", "plug_in: set", "switch_on: outlet", "switch_on: set", "set_dial: 60 V")
PAGE = f"# Page\n\n```procedure\n{PLAN}```\n"

WATCHED = """\
import builtins, json, sys
real, asked = builtins.__import__, {}
def watched(name, globals=None, *rest, **more):
    asked.setdefault(name, set()).add((globals or {}).get("__name__", ""))
    return real(name, globals, *rest, **more)
builtins.__import__ = watched
sys.argv = ["auditor", *sys.argv[1:]]
from auditor.cli import app
try:
    app()
except SystemExit as end:
    status = end.code
print(json.dumps({"status": status, "loaded": sorted(sys.modules), "asked": {n: sorted(w) for n, w in asked.items()}}),
      file=sys.stderr)
"""
"""Runs a command and tells what was loaded, and for every module which modules asked for it."""


def loaded_by(folder: Path, *arguments: str) -> Any:
    root = str(Path(auditor.__file__).parent.parent)
    ran = subprocess.run([sys.executable, "-c", WATCHED, *arguments], capture_output=True, check=True, cwd=folder,
                         env={**os.environ, "PYTHONPATH": root})
    return json.loads(ran.stderr.splitlines()[-1])


@pytest.fixture(scope="module")
def audited(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """What an audit of one plan loads."""
    folder = tmp_path_factory.mktemp("plans")
    (folder / "plan.yaml").write_text(PLAN)
    return loaded_by(folder, "audit", "plan.yaml")


def test_the_audit_that_is_watched_is_a_whole_one(audited: Any) -> None:
    assert audited["status"] == 1
    assert "auditor.review.judge" in audited["loaded"]


@pytest.mark.parametrize("module", ["numpy", "scipy", "rich", "pygments", "jsonschema", "hypothesis", "pytest", "asyncio",
                                    "urllib.request", "ssl", "multiprocessing", "rtamt", "markdown_it", "jinja2", "ziaplot",
                                    "schemdraw"])
def test_an_audit_of_a_plan_does_not_load(module: str, audited: Any) -> None:
    assert module not in audited["loaded"]


def test_nothing_of_ours_asks_for_the_metadata_of_packages(audited: Any) -> None:
    # pydantic asks for it when it looks for plug-ins, whatever its settings are; the import system then does too.
    asking = {name for name in audited["asked"].get("importlib.metadata", []) if not name.startswith("importlib.")}
    assert asking <= {"pydantic.plugin._loader"}


def test_an_audit_does_not_load_what_only_other_reports_and_commands_need(audited: Any) -> None:
    ours = {name for name in audited["loaded"] if name.startswith("auditor.")}
    assert ours & {"auditor.report.as_json", "auditor.report.rule_text", "auditor.report.proof_text",
                   "auditor.review.prove", "auditor.rulebook.examples", "auditor.rulebook.policy_file",
                   "auditor.rulebook.in_force", "auditor.plan.card_alone", "auditor.plan.markdown"} == set()


def test_an_audit_of_a_page_loads_the_reader_of_pages_and_nothing_else_that_is_heavy(tmp_path: Path) -> None:
    (tmp_path / "page.md").write_text(PAGE)
    loaded = set(loaded_by(tmp_path, "audit", "page.md")["loaded"])
    assert "markdown_it" in loaded
    assert loaded & {"numpy", "scipy", "rich", "jsonschema", "hypothesis"} == set()


def test_importing_the_package_loads_nothing_of_it_yet() -> None:
    root = str(Path(auditor.__file__).parent.parent)
    told = subprocess.run(
        [sys.executable, "-c", "import auditor, sys; print(*[m for m in sys.modules if m.startswith('auditor.')])"],
        capture_output=True, check=True, env={**os.environ, "PYTHONPATH": root}).stdout
    assert told.strip() == b""


def test_no_data_is_a_dataclass_which_is_written_and_compiled_anew_at_every_start() -> None:
    files = Path(auditor.__file__).parent.rglob("*.py")
    assert [file.name for file in files if "@dataclass" in file.read_text(encoding="utf-8")] == []
