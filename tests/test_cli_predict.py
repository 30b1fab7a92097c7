"""`auditor predict`, as somebody types it."""

from __future__ import annotations

import csv
import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner

import auditor
from auditor.cli import app

ROOT = Path(auditor.__file__).parent.parent
FOLDER = ROOT / "procedures"
FIVE = "procedures/five-tube-series-heaters.yaml"
CLEAN = sorted(path.name for path in FOLDER.glob("*.yaml")
               if not path.name.startswith("flawed-") and not path.name.endswith((".card.yaml", "policy.yaml")))


@pytest.fixture(autouse=True)
def here(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)


def predicted(*arguments: str, given: str = "") -> tuple[int, str, str]:
    """Exit status, output, errors."""
    result = CliRunner().invoke(app, ["predict", *arguments], input=given)
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result.exit_code, result.stdout, result.stderr


def in_one_line(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("name", CLEAN)
def test_every_procedure_that_can_be_followed_gets_its_readings(name: str) -> None:
    status, out, err = predicted(f"procedures/{name}")
    assert (status, err) == (0, "")
    assert out.startswith("step  dial")
    assert "Assumed: The readings are those of a healthy set with good tubes." in in_one_line(out)


def test_the_assumptions_of_the_replay_and_of_the_model_are_both_printed() -> None:
    out = in_one_line(predicted(FIVE)[1])
    assert "Assumed: At the start the bench is plugged into the wall" in out
    assert "Assumed: A lamp is within 4 % of the watts printed on it" in out


def test_a_page_with_two_procedures_is_refused_with_how_many_there_are() -> None:
    status, out, err = predicted("procedures/wiki-first-power.md")
    assert (status, out) == (2, "")
    assert "holds 2 procedures; this command takes one" in err


def test_a_plan_that_cannot_be_read_is_refused_with_its_place(tmp_path: Path) -> None:
    (tmp_path / "wrong.yaml").write_text("procedure: {title: x}\nset: {chasis: hot}\n")
    status, out, err = predicted(str(tmp_path / "wrong.yaml"))
    assert (status, out) == (2, "")
    assert "line 2" in err


def test_a_file_that_is_not_there_is_refused() -> None:
    assert predicted("none.yaml")[0] == 2


def test_a_plan_may_come_on_standard_input() -> None:
    assert predicted("-", given=(ROOT / FIVE).read_text(encoding="utf-8"))[1] == predicted(FIVE)[1]


def test_a_setting_and_a_lamp_that_are_in_no_step_may_be_asked_for() -> None:
    status, out, _ = predicted(FIVE, "--at", "90V", "--lamp", "100W", "--as", "json")
    (row,) = json.loads(out)["rows"]
    assert status == 0
    assert row["dial"] == [90, 90]
    (smaller,) = json.loads(predicted(FIVE, "--at", "90V", "--lamp", "40W", "--as", "json")[1])["rows"]
    assert smaller["set_voltage"][0] < row["set_voltage"][0]


def test_a_setting_without_its_unit_is_refused_with_what_to_write() -> None:
    status, _, err = predicted(FIVE, "--at", "90")
    assert status == 2
    assert "90 V" in err


@pytest.mark.parametrize(("option", "value", "said"), [
    ("--at", "-5 V", "below zero"), ("--lamp", "-60 W", "below zero"), ("--at", "400 V", "ends at 140 V"),
    ("--lamp", "0 W", "some watts"), ("--lamp", "10 W..", "some watts"), ("--at", "..", "at least one end"),
])
def test_a_setting_or_a_lamp_that_cannot_be_is_refused(option: str, value: str, said: str) -> None:
    status, out, err = predicted(FIVE, option, value)
    assert (status, out) == (2, "")
    assert said in err


def test_a_lamp_of_any_size_is_reckoned_with(tmp_path: Path) -> None:
    (tmp_path / "huge.yaml").write_text((ROOT / FIVE).read_text(encoding="utf-8").replace("power: 40 W", "power: 10 kW"))
    assert predicted(str(tmp_path / "huge.yaml"))[0] == 0


def test_lamps_are_compared() -> None:
    status, out, _ = predicted(FIVE, "--choose-lamp")
    assert status == 0
    assert "first look" in out
    assert "running" in out
    assert len(json.loads(predicted(FIVE, "--choose-lamp", "--as", "json")[1])["lamps"]) == 9


def test_csv_has_one_heading_and_a_line_a_row() -> None:
    lines = list(csv.reader(io.StringIO(predicted(FIVE, "--as", "csv")[1])))
    data = json.loads(predicted(FIVE, "--as", "json")[1])
    assert len(lines) == len(data["rows"]) + 1
    assert {len(line) for line in lines} == {len(lines[0])}


@pytest.mark.parametrize("form", ["text", "json", "csv"])
def test_the_same_plan_gives_the_same_bytes(form: str) -> None:
    first, second = (
        subprocess.run([sys.executable, "-m", "auditor", "predict", FIVE, "--as", form], capture_output=True, check=True,
                       env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONHASHSEED": seed}).stdout for seed in ("1", "2"))
    assert first == second


def test_a_number_without_its_unit_is_told_once_what_to_write() -> None:
    assert predicted(FIVE, "--lamp", "100") == (2, "", "`100`: write `100 W`: a power needs its unit.\n")
