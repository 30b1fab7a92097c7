"""`auditor whatif`, and `auditor reason` of a fault, as somebody types them."""

from __future__ import annotations

import json
import os
import pty
import re
import select
import subprocess
import sys
import time
from functools import cache
from pathlib import Path

import jsonschema
import pytest
from typer.testing import CliRunner

import auditor
from auditor.cli import app
from auditor.report.whatif_data import SCHEMA
from auditor.whatif.catalogue import load_catalogue

ROOT = Path(auditor.__file__).parent.parent
FIVE = "procedures/five-tube-series-heaters.yaml"
TEN_LINES = "procedures/flawed-ten-lines.yaml"
NAMES = [entry.fault.fault for entry in load_catalogue()]
SMALL = """\
procedure: {title: A small plan of the Millrace Valley Wireless Society}
mains: {voltage: 120 V, frequency: 60 Hz, earth: present}
set: {power_supply: transformer, chassis: isolated}
bench: {chain: [outlet, autotransformer, {limiter: {lamp: {power: 40 W}, bypass: open}}, set]}
steps:
  - inspect: cord
"""


@pytest.fixture(autouse=True)
def here(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)


@cache
def ran(*arguments: str, given: str = "") -> tuple[int, str, str]:
    """Exit status, output, errors; the same command is run once."""
    result = CliRunner().invoke(app, [*arguments], input=given)
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result.exit_code, result.stdout, result.stderr


def in_one_line(text: str) -> str:
    return " ".join(text.split())


def data_of(*arguments: str) -> tuple[int, dict[str, object]]:
    """Exit status and the document, which fits its schema."""
    status, out, err = ran("whatif", *arguments, "--as", "json")
    assert err == ""
    data = json.loads(out)
    jsonschema.validate(data, json.loads(SCHEMA.read_text(encoding="utf-8")))
    return status, data


def test_every_fault_of_the_catalogue_is_in_the_report() -> None:
    _, out, err = ran("whatif", FIVE)
    assert err == ""
    assert [name for name in NAMES if name not in out] == []


def test_a_plan_that_harms_somebody_ends_with_1() -> None:
    status, out, _ = ran("whatif", TEN_LINES)
    assert status == 1
    assert "NOT CONTAINED, harm to a person" in out
    assert "Missing safeguard: " in out


@pytest.mark.parametrize("plan", [FIVE, TEN_LINES])
def test_the_exit_status_follows_from_what_gets_through(plan: str) -> None:
    status, data = data_of(plan)
    faults = data["faults"]
    healthy = data["healthy"]
    assert isinstance(faults, list)
    assert isinstance(healthy, list)
    through = any(fault["verdict"] == "not contained" and fault["harms_a_person"] for fault in faults)
    assert status == data["exit_status"] == int(through or any(harm["to_a_person"] for harm in healthy))


def test_text_and_data_name_the_same_faults_that_get_through() -> None:
    _, data = data_of(FIVE)
    faults = data["faults"]
    assert isinstance(faults, list)
    out = in_one_line(ran("whatif", FIVE)[1])
    told = set(re.findall(r"NOT CONTAINED, (?:harm to a person|damage to equipment): (\S+)", out))
    assert told == {fault["fault"] for fault in faults if fault["verdict"] == "not contained"}


def test_a_plan_that_powers_nothing_ends_with_1_and_is_told_so(tmp_path: Path) -> None:
    (tmp_path / "idle.yaml").write_text(SMALL)
    status, out, _ = ran("whatif", str(tmp_path / "idle.yaml"))
    assert status == 1
    assert "No step of this procedure powers the set" in in_one_line(out)


def test_a_plan_without_steps_cannot_be_used(tmp_path: Path) -> None:
    (tmp_path / "none.yaml").write_text(SMALL.partition("steps:")[0])
    status, out, err = ran("whatif", str(tmp_path / "none.yaml"))
    assert (status, out) == (2, "")
    assert "has no steps, so there is nothing to play a fault through" in err


@pytest.mark.parametrize("path", ["none.yaml", "procedures/wiki-first-power.md"])
def test_what_is_not_one_plan_is_refused(path: str) -> None:
    status, out, err = ran("whatif", path)
    assert (status, out) == (2, "")
    assert err


def test_a_risk_that_names_no_rule_is_refused_with_its_place(tmp_path: Path) -> None:
    (tmp_path / "risk.yaml").write_text(
        SMALL + "accepted_risks:\n  - {rule: no-such-rule, reason: none, by: nobody, until: 2027-03-01}\n")
    status, out, err = ran("whatif", str(tmp_path / "risk.yaml"))
    assert (status, out) == (2, "")
    assert "no rule is called `no-such-rule`" in err


def test_one_fault_is_told_as_a_story() -> None:
    status, out, err = ran("whatif", FIVE, "--fault", "short-in-the-cord")
    assert (status, err) == (0, "")
    assert out.startswith("What if live and neutral touch in the cord")
    assert re.search(r"^Step \d+, .*", out, re.MULTILINE)
    assert "Contained by " in out


def test_a_fault_that_hurts_somebody_ends_with_1() -> None:
    status, out, _ = ran("whatif", TEN_LINES, "--fault", "short-in-the-cord")
    assert status == 1
    assert "HARM: " in out


def test_one_fault_as_data_has_the_same_form_as_all() -> None:
    _, one = data_of(FIVE, "--fault", "short-in-the-cord")
    _, all_ = data_of(FIVE)
    faults, every = one["faults"], all_["faults"]
    assert isinstance(faults, list)
    assert isinstance(every, list)
    assert faults == [fault for fault in every if fault["fault"] == "short-in-the-cord"]


@pytest.mark.parametrize("name", NAMES)
def test_every_fault_has_its_story(name: str) -> None:
    status, out, err = ran("whatif", FIVE, "--fault", name)
    assert status in (0, 1)
    assert err == ""
    assert out.startswith("What if ")


def test_an_unknown_fault_is_refused_with_the_nearest_name() -> None:
    status, out, err = ran("whatif", FIVE, "--fault", "short-in-the-chord")
    assert (status, out) == (2, "")
    assert "No fault is called `short-in-the-chord`. Did you mean `short-in-the-cord`?" in err


def test_where_no_name_is_near_the_error_says_what_lists_them() -> None:
    assert "`auditor whatif PLAN` lists them" in ran("whatif", FIVE, "--fault", "xyzzy")[2]


def test_a_fault_and_the_safeguards_cannot_be_asked_for_at_once() -> None:
    assert ran("whatif", FIVE, "--fault", "short-in-the-cord", "--safeguards")[0] == 2


def test_safeguards_are_told_and_end_with_0() -> None:
    status, out, err = ran("whatif", TEN_LINES, "--safeguards")
    assert (status, err) == (0, "")
    assert out.startswith("What each safeguard is for: ")
    assert data_of(TEN_LINES, "--safeguards")[1]["about"] == "safeguards"


def test_a_plan_may_come_on_standard_input() -> None:
    given = (ROOT / TEN_LINES).read_text(encoding="utf-8")
    policy = ("--policy", "procedures/power-up-policy.yaml")
    assert ran("whatif", *policy, "-", given=given)[1] == ran("whatif", TEN_LINES)[1]


@pytest.mark.parametrize("form", ["text", "json"])
def test_the_same_plan_gives_the_same_bytes(form: str) -> None:
    first, second = (
        subprocess.run([sys.executable, "-m", "auditor", "whatif", FIVE, "--as", form], capture_output=True, check=False,
                       env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONHASHSEED": seed}).stdout for seed in ("1", "2"))
    assert first == second != b""


def test_in_a_pipe_there_is_neither_colour_nor_a_bar() -> None:
    got = subprocess.run([sys.executable, "-m", "auditor", "whatif", TEN_LINES], capture_output=True, check=False,
                         env={**os.environ, "PYTHONPATH": str(ROOT)})
    assert b"\x1b" not in got.stdout
    assert got.stderr == b""


def at_a_terminal(*arguments: str, **environment: str) -> str:
    """What a terminal gets to see, output and errors together."""
    terminal, end = pty.openpty()
    process = subprocess.Popen([sys.executable, "-m", "auditor", *arguments], stdout=end, stderr=end, stdin=end,
                               env={**os.environ, "PYTHONPATH": str(ROOT), "TERM": "xterm", "COLUMNS": "80", **environment})
    os.close(end)
    seen, until = b"", time.monotonic() + 60
    while time.monotonic() < until:
        if not select.select([terminal], [], [], 1.0)[0]:
            continue
        try:
            got = os.read(terminal, 65536)
        except OSError:
            break
        if not got:
            break
        seen += got
    process.wait(timeout=10)
    os.close(terminal)
    return seen.decode("utf-8")


def test_at_a_terminal_a_bar_shows_how_far_it_is_and_harm_has_a_colour() -> None:
    seen = at_a_terminal("whatif", TEN_LINES)
    assert "Trying faults" in seen
    assert "100%" in seen
    assert "\x1b[1;38;5;196mNOT CONTAINED\x1b[0m" in seen


def test_no_color_is_respected() -> None:
    seen = at_a_terminal("whatif", TEN_LINES, NO_COLOR="1")
    assert "NOT CONTAINED" in seen
    assert "\x1b[1" not in seen
    assert "\x1b[2m" not in seen


def test_the_reason_of_a_fault_is_told_like_that_of_a_rule() -> None:
    status, out, err = ran("reason", "short-in-the-cord")
    assert (status, err) == (0, "")
    text = in_one_line(out)
    for part in ("What if live and neutral touch in the cord", "In the model: ", "Harm: ",
                 "What stands against it, as rules: ", "Source: "):
        assert part in text


def test_a_rule_is_told_as_before() -> None:
    assert "Requires: " in ran("reason", "isolate-a-hot-chassis")[1]


def test_an_unknown_name_is_sought_among_rules_and_faults() -> None:
    assert "Did you mean `short-in-the-cord`?" in ran("reason", "short-in-a-cord")[2]
    assert "Did you mean `isolate-a-hot-chassis`?" in ran("reason", "isolate-hot-chassis")[2]
    status, _, err = ran("reason", "xyzzy")
    assert status == 2
    assert "Nothing is called `xyzzy`." in err
