"""The commands, as somebody types them."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import CliRunner

import auditor
from auditor.cli import app
from tests.written import with_steps

HOT = with_steps("set_dial: 0 V", "plug_in: set", "switch_on: outlet", "switch_on: set", "set_dial: 60 V").replace(
    "set: {", "set: {chassis: hot, ")
IDLE = with_steps("set_dial: 0 V")
PAGE = f"# Page\n\n```procedure\n{HOT}```\n\n```procedure\nset: {{chasis: hot}}\n```\n"


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of its own for every test, with a few files in it."""
    monkeypatch.chdir(tmp_path)
    for name, text in {"hot.yaml": HOT, "idle.yaml": IDLE, "wrong.yaml": "a: b\n", "page.md": PAGE,
                       "words.md": "# Words\n"}.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    (tmp_path / "empty").mkdir()
    return tmp_path


class Ran:
    """What a command printed and how it ended."""

    def __init__(self, status: int, out: str, err: str) -> None:
        self.status, self.out, self.err = status, out, err


def inside(*arguments: str, given: str = "") -> Ran:
    """The command in this process."""
    result = CliRunner().invoke(app, arguments, input=given)
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return Ran(result.exit_code, result.stdout, result.stderr)


def outside(*arguments: str, given: str = "", **environment: str) -> Ran:
    """The command as a process of its own, its output in pipes."""
    root = str(Path(auditor.__file__).parent.parent)
    result = subprocess.run(
        [sys.executable, "-m", "auditor", *arguments], input=given.encode(), capture_output=True, check=False,
        env={**os.environ, "PYTHONPATH": root, **environment})
    return Ran(result.returncode, result.stdout.decode("utf-8"), result.stderr.decode("utf-8"))


BOTH = pytest.mark.parametrize("run", [inside, outside])
Run = Callable[..., Ran]


@BOTH
def test_a_plan_with_findings_ends_with_1(run: Run) -> None:
    ran = run("audit", "hot.yaml")
    assert ran.status == 1
    assert "isolate-a-hot-chassis" in ran.out


@BOTH
def test_a_plan_that_cannot_be_read_ends_with_2(run: Run) -> None:
    assert run("audit", "wrong.yaml").status == 2


@BOTH
def test_what_cannot_be_read_outranks_what_was_found(run: Run) -> None:
    assert run("audit", "hot.yaml", "wrong.yaml").status == 2


@pytest.mark.parametrize(("word", "status"), [("DANGER", 1), ("notice", 1), ("Warning", 1)])
def test_a_danger_counts_whatever_the_bar(word: str, status: int) -> None:
    assert inside("audit", "--at-least", word, "hot.yaml").status == status


def test_a_word_that_is_no_signal_word_is_refused() -> None:
    assert inside("audit", "--at-least", "HORROR", "hot.yaml").status == 2


def test_the_bar_changes_the_exit_status_and_nothing_that_is_shown() -> None:
    assert inside("audit", "--at-least", "DANGER", "hot.yaml").out == inside("audit", "--at-least", "NOTICE", "hot.yaml").out


def test_a_plan_that_never_energises_its_set_ends_with_1() -> None:
    ran = inside("audit", "--at-least", "DANGER", "idle.yaml")
    assert ran.status == 1
    assert "nothing to review" in ran.out


@BOTH
def test_a_minus_reads_standard_input(run: Run) -> None:
    ran = run("audit", "-", given=HOT)
    assert ran.status == 1
    assert ran.out.startswith("-: A small plan")


def test_nothing_on_standard_input_is_an_empty_plan() -> None:
    ran = inside("audit", "-")
    assert ran.status == 2
    assert "the file is empty" in ran.out


def test_several_paths_are_reviewed_in_their_order() -> None:
    data = json.loads(inside("audit", "--as", "json", "wrong.yaml", "-", "hot.yaml", given=IDLE).out)
    assert [plan["path"] for plan in data["plans"]] == ["wrong.yaml", "-", "hot.yaml"]


def test_an_unreadable_plan_never_hides_the_others() -> None:
    ran = inside("audit", "none.yaml", "wrong.yaml", "page.md", "empty", "hot.yaml")
    assert ran.status == 2
    assert "\n2 plans reviewed; " in ran.out
    assert "4 could not be read" in " ".join(ran.out.split())


def test_a_folder_stands_for_every_plan_and_page_in_it() -> None:
    data = json.loads(inside("audit", "--as", "json", ".").out)
    assert [plan["path"] for plan in data["plans"]] == ["hot.yaml", "idle.yaml", "page.md", "page.md", "wrong.yaml"]


def test_a_page_without_a_procedure_is_a_mistake_only_where_it_is_named() -> None:
    assert "the page has no procedure" in inside("audit", "words.md").out
    assert "words.md" not in inside("audit", ".").out


@pytest.mark.parametrize("name", ["none.yaml", "empty", "wrong.yaml", "words.md"])
def test_what_cannot_be_used_says_so_in_one_line(name: str) -> None:
    ran = inside("audit", name)
    assert ran.status == 2
    assert ran.out.count("Cannot be read") == 1


def test_no_path_at_all_is_refused() -> None:
    assert inside("audit").status == 2


@BOTH
def test_a_misspelt_rule_is_refused_with_the_nearest_one(run: Run) -> None:
    ran = run("reason", "isolate-a-hot-chasis")
    assert (ran.status, ran.out) == (2, "")
    assert "Did you mean `isolate-a-hot-chassis`?" in ran.err


def test_a_rule_like_no_other_is_refused_with_where_to_look() -> None:
    assert "`auditor rulebook` lists the rules" in inside("reason", "xyzzy").err


def test_a_rule_tells_its_requirement_reason_remedy_and_source() -> None:
    ran = inside("reason", "isolate-a-hot-chassis")
    assert ran.status == 0
    places = [ran.out.index(part) for part in ("DANGER", "Requires:", "Why:", "Instead:", "Source:", "Examples")]
    assert places == sorted(places)


def test_the_rulebook_lists_every_rule_that_can_be_asked_about() -> None:
    assert "DANGER isolate-a-hot-chassis" in inside("rulebook").out


def test_a_rule_file_that_is_not_there_cannot_be_proved() -> None:
    ran = inside("rulebook", "prove", "none.yaml")
    assert ran.status == 2
    assert "none.yaml: there is no such file" in ran.err


def test_a_rule_file_with_a_mistake_is_refused_with_its_place(here: Path) -> None:
    (here / "rule.yaml").write_text("topic: x\nrules:\n  - rule: a-rule\n    signal_wrod: DANGER\n")
    ran = inside("rulebook", "prove", "rule.yaml")
    assert ran.status == 2
    assert "rule.yaml, line 4, column 5" in ran.err


def test_the_schema_is_printed_as_it_is_published() -> None:
    from auditor.report.as_json import SCHEMA

    assert inside("schema", "report").out == SCHEMA.read_text(encoding="utf-8")


def test_the_version_is_printed() -> None:
    assert inside("--version").out == f"auditor {auditor.__version__}\n"


@pytest.mark.parametrize("form", [[], ["--as", "json"]])
def test_the_same_plans_give_the_same_bytes(form: list[str]) -> None:
    first, second = (outside("audit", *form, ".", PYTHONHASHSEED=seed) for seed in ("1", "2"))
    assert first.out == second.out


def test_a_pipe_gets_no_colour_and_no_progress(here: Path) -> None:
    for i in range(25):
        (here / f"plan-{i:02}.yaml").write_text(IDLE)
    ran = outside("audit", ".")
    assert "\x1b" not in ran.out
    assert ran.err == ""


def test_the_output_is_utf_8_whatever_the_terminal_is_set_to(here: Path) -> None:
    (here / "röhre.yaml").write_text(HOT.replace("A small plan", "Röhre Ω"), encoding="utf-8")
    ran = outside("audit", "röhre.yaml", PYTHONIOENCODING="ascii", LC_ALL="C.UTF-8")
    assert ran.out.startswith("röhre.yaml: Röhre Ω")


@pytest.mark.skipif(sys.platform != "linux", reason="only some systems have file names that are no characters")
def test_a_file_name_that_is_no_text_is_reported_all_the_same(here: Path) -> None:
    (here / os.fsdecode(b"\xff.yaml")).write_text("a: b\n")
    for form in ("json", "text"):
        ran = outside("audit", "--as", form, ".")
        assert ran.status == 2
        assert "Traceback" not in ran.err


AT_A_TERMINAL = pytest.mark.skipif(not hasattr(os, "openpty"), reason="this system has no such terminals")


def at_a_terminal(*arguments: str, **environment: str) -> str:
    """What the command shows at a terminal, on either stream."""
    root = str(Path(auditor.__file__).parent.parent)
    near, far = os.openpty()
    process = subprocess.Popen(
        [sys.executable, "-m", "auditor", *arguments], stdin=subprocess.DEVNULL, stdout=far, stderr=far,
        env={**os.environ, "PYTHONPATH": root, "TERM": "xterm-256color", **environment})
    os.close(far)
    shown = b""
    while True:
        try:
            part = os.read(near, 65536)
        except OSError:  # how Linux says that the other end is closed
            break
        if not part:
            break
        shown += part
    process.wait()
    os.close(near)
    return shown.decode("utf-8")


@AT_A_TERMINAL
def test_a_terminal_gets_colour() -> None:
    assert "\x1b[1;38;5;196mDANGER\x1b[0m" in at_a_terminal("audit", "hot.yaml", NO_COLOR="")


@AT_A_TERMINAL
def test_a_terminal_gets_no_colour_where_none_is_wanted() -> None:
    assert "\x1b" not in at_a_terminal("audit", "hot.yaml", NO_COLOR="1")


@AT_A_TERMINAL
def test_a_terminal_gets_the_width_it_has() -> None:
    lines = at_a_terminal("audit", "hot.yaml", NO_COLOR="1", COLUMNS="50").splitlines()
    sentences = [line for line in lines if line.startswith(("    ", "  Why:")) and not line.startswith("      ")]
    several = [line for line in sentences if len(line.split()) > 1]  # one long name of a rule cannot be broken
    assert 40 < max(map(len, several)) <= 50


@AT_A_TERMINAL
def test_a_long_run_shows_progress_at_a_terminal(here: Path) -> None:
    for i in range(25):
        (here / f"plan-{i:02}.yaml").write_text(IDLE)
    assert "Reviewing" in at_a_terminal("audit", ".", NO_COLOR="1")


@AT_A_TERMINAL
def test_a_short_run_shows_no_progress() -> None:
    assert "Reviewing" not in at_a_terminal("audit", "hot.yaml", NO_COLOR="1")
