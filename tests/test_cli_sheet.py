"""`auditor sheet`, as somebody types it."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner

import auditor
from auditor.cli import app
from tests.written import with_set, with_steps

ROOT = Path(auditor.__file__).parent.parent
FIVE = "procedures/five-tube-series-heaters.yaml"
POWERED = with_steps("set_dial: 0 V", "plug_in: set", "switch_on: outlet", "switch_on: set", "set_dial: 60 V")
LOADED = """\
import sys
from auditor.cli import app
sys.argv = ["auditor", "sheet", "-"]
try:
    app()
except SystemExit:
    pass
print([name for name in ("weasyprint", "schemdraw", "ziaplot", "numpy") if name in sys.modules], file=sys.stderr)
"""
"""Writes a sheet and tells what was loaded that a sheet of HTML does not need."""


@pytest.fixture(autouse=True)
def here(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)


def ran(*arguments: str, given: str = "") -> tuple[int, bytes, str]:
    result = CliRunner().invoke(app, ["sheet", *arguments], input=given)
    return result.exit_code, result.stdout_bytes, result.stderr


def test_the_sheet_is_written_to_standard_output_or_whole_to_a_file(tmp_path: Path) -> None:
    status, out, said = ran(FIVE)
    assert (status, said) == (0, "")
    assert out.startswith(b"<!DOCTYPE html>")
    assert ran(FIVE, "--output", str(tmp_path / "sheet.html")) == (0, b"", "")
    assert (tmp_path / "sheet.html").read_bytes() == out


def test_a_plan_with_open_findings_has_a_sheet_and_the_command_says_that_they_stand_on_it() -> None:
    status, out, said = ran("-", given=POWERED)
    assert status == 0
    assert b"Still open" in out
    assert said.endswith("findings still open: they stand on top of the sheet.\n")


def test_the_paper_can_be_chosen() -> None:
    assert b"size: 297mm 210mm" in ran("-", given=POWERED)[1]
    assert b"size: 11in 8.5in" in ran("-", "--paper", "letter", given=POWERED)[1]


def test_a_plan_without_steps_has_no_sheet() -> None:
    status, out, said = ran("-", given=with_set("chassis: hot"))
    assert (status, out) == (2, b"")
    assert "no steps" in said


def test_a_plan_that_cannot_be_read_says_why() -> None:
    status, out, said = ran("-", given="procedure: {titel: A}\n")
    assert (status, out) == (2, b"")
    assert "Cannot be read" in said


def test_the_policy_that_is_named_is_gone_by(tmp_path: Path) -> None:
    policy = tmp_path / "club.yaml"
    policy.write_text("policy: The club\nevery_plan_states: [bench.aired]\n")
    assert b"The club" in ran("-", "--policy", str(policy), given=POWERED)[1]


def test_without_the_library_for_pdf_the_command_says_what_to_install(monkeypatch: pytest.MonkeyPatch, tmp_path: Path
                                                                      ) -> None:
    monkeypatch.setitem(sys.modules, "weasyprint", None)
    status, out, said = ran("-", "--as", "pdf", "--output", str(tmp_path / "sheet.pdf"), given=POWERED)
    assert (status, out) == (2, b"")
    assert "pip install '.[pdf]'" in said
    assert list(tmp_path.iterdir()) == []


def test_without_the_library_that_sets_type_the_command_names_it_and_prints_nothing_else(
        monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    (tmp_path / "weasyprint.py").write_text("print('see our installation page')\nraise OSError('no library libpango')\n")
    monkeypatch.syspath_prepend(tmp_path)
    for name in [name for name in sys.modules if name.partition(".")[0] == "weasyprint"]:
        monkeypatch.delitem(sys.modules, name)
    status, out, said = ran("-", "--as", "pdf", given=POWERED)
    assert (status, out) == (2, b"")
    assert "not the library Pango" in said
    assert "no library libpango" in said


def test_a_pdf_is_not_written_to_a_terminal() -> None:
    pty = pytest.importorskip("pty", reason="this system has no terminals of its own")
    ours, its = pty.openpty()
    told = subprocess.run([sys.executable, "-m", "auditor", "sheet", FIVE, "--as", "pdf"], stdout=its,
                          stderr=subprocess.PIPE, check=False, cwd=ROOT)
    os.close(its)
    os.close(ours)
    assert told.returncode == 2
    assert "--output sheet.pdf" in told.stderr.decode()


def test_the_library_for_pdf_is_loaded_for_a_pdf_alone() -> None:
    told = subprocess.run([sys.executable, "-c", LOADED], input=POWERED.encode(), capture_output=True, check=True, cwd=ROOT)
    assert told.stdout.startswith(b"<!DOCTYPE html>")
    assert told.stderr.decode().endswith("\n[]\n")
