"""The recipes of the README for continuous integration, run on a small repository as they stand there."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.written import with_steps

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
SECTION = re.search(r"^## In continuous integration$(.*?)^## ", README, re.DOTALL | re.MULTILINE)
assert SECTION is not None
FIRST, ALWAYS, HOOK = re.findall(r"```sh\n(.*?)```", SECTION[1], re.DOTALL)

PLAN = with_steps("set_dial: 0 V", "plug_in: set", "switch_on: outlet", "switch_on: set", "set_dial: 60 V",
                  "switch_off: outlet", "unplug: set")
WORSE = PLAN + "  - plug_in: set\n  - switch_on: outlet\n  - {work: move the wires, where: inside}\n"

pytestmark = pytest.mark.skipif(shutil.which("git") is None or shutil.which("sh") is None,
                                reason="there is no git or no sh to run the recipes with")


class Repository:
    """A small wiki under git, where `auditor` is a command."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder / "club"
        tools = folder / "bin"
        tools.mkdir()
        (tools / "auditor").write_text(f'#!/bin/sh\nexec "{sys.executable}" -m auditor "$@"\n')
        (tools / "auditor").chmod(0o755)
        own = {name: value for name, value in os.environ.items() if not name.startswith("GIT_")}
        self.environment = {**own, "PATH": f"{tools}{os.pathsep}{os.environ['PATH']}", "PYTHONPATH": str(ROOT),
                            "HOME": str(folder), "GIT_CONFIG_NOSYSTEM": "1"}

    def begun(self) -> Repository:
        """With a plan that has findings, and the first report on it."""
        (self.folder / "wiki").mkdir(parents=True)
        self.git("init", "-q")
        self.git("config", "user.name", "Club Secretary")
        self.git("config", "user.email", "secretary@example.org")
        self.write(PLAN)
        self.run(FIRST)
        self.commit()
        return self

    def run(self, script: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(["sh", "-c", script], cwd=self.folder, env=self.environment, capture_output=True, text=True)

    def git(self, *arguments: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(["git", *arguments], cwd=self.folder, env=self.environment, capture_output=True, text=True)

    def write(self, plan: str) -> None:
        (self.folder / "wiki" / "first-power.yaml").write_text(plan)

    def commit(self) -> subprocess.CompletedProcess[str]:
        self.git("add", "--all")
        return self.git("commit", "-q", "-m", "a change")

    def with_hook(self) -> Repository:
        hook = self.folder / ".git" / "hooks" / "pre-commit"
        hook.parent.mkdir(exist_ok=True)
        hook.write_text(HOOK)
        hook.chmod(0o755)
        return self

    @property
    def committed(self) -> str:
        return self.git("show", "HEAD:wiki/first-power.yaml").stdout


@pytest.fixture(scope="module")
def beginning(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return Repository(tmp_path_factory.mktemp("begun")).begun().folder


@pytest.fixture
def repository(beginning: Path, tmp_path: Path) -> Repository:
    shutil.copytree(beginning, tmp_path / "club")
    return Repository(tmp_path)


def test_the_first_report_is_there_though_the_wiki_has_findings(repository: Repository) -> None:
    assert json.loads((repository.folder / "before.json").read_text(encoding="utf-8"))["plans"][0]["findings"]


def test_the_run_passes_while_nothing_is_new_and_fails_on_what_is(repository: Repository) -> None:
    repository.write("# looked at again\n" + PLAN)
    assert repository.run(ALWAYS).returncode == 0
    repository.write(WORSE)
    assert repository.run(ALWAYS).returncode == 1
    results = json.loads((repository.folder / "findings.sarif").read_text(encoding="utf-8"))["runs"][0]["results"]
    assert {"new", "unchanged"} <= {result["baselineState"] for result in results}


def test_the_hook_lets_a_harmless_change_pass_and_stops_a_new_finding(repository: Repository) -> None:
    repository.with_hook()
    repository.write("# looked at again\n" + PLAN)
    assert repository.commit().returncode == 0
    assert repository.committed.startswith("# looked at again")
    repository.write(WORSE)
    stopped = repository.commit()
    assert stopped.returncode == 1
    assert "New: the plan has changed." in stopped.stdout + stopped.stderr
    assert repository.committed.startswith("# looked at again")


def test_the_hook_looks_at_what_is_committed_and_not_at_what_lies_there(repository: Repository) -> None:
    repository.with_hook()
    repository.write(WORSE)
    repository.git("add", "--all")
    repository.write(PLAN)
    assert repository.git("commit", "-q", "-m", "a change").returncode == 1


def test_a_plan_that_cannot_be_read_fails(repository: Repository) -> None:
    repository.write("steps: [")
    assert repository.run(ALWAYS).returncode == 2
