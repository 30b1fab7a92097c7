"""What the README shows is what the program does."""

import json
import re
from datetime import date
from html import unescape
from pathlib import Path

import pytest
from typer.testing import CliRunner

import auditor
from auditor.cli import app
from auditor.plan.read import read_plan
from auditor.plan.verbs import VERBS
from auditor.report.prediction_data import READINGS
from auditor.report.style import Style
from auditor.report.terminal import reviewed_lines
from auditor.rulebook.in_force import under
from auditor.rulebook.load import load_rulebook

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_finding_in_the_readme_is_printed_so(monkeypatch) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.chdir(ROOT)
    (reviewed,) = auditor.audit("procedures/flawed-hot-chassis-without-isolation.yaml", today=date(2026, 11, 25))
    printed = "\n".join(reviewed_lines(reviewed, Style()))
    shown = re.search(r"```text\n(DANGER.*?)```", README, re.DOTALL)
    assert shown is not None
    assert shown[1].strip() in printed


def test_the_readings_in_the_readme_are_printed_so(monkeypatch) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.chdir(ROOT)
    printed = CliRunner().invoke(app, ["predict", "procedures/five-tube-series-heaters.yaml"]).stdout
    shown = re.search(r"```text\n(step  dial.*?)```", README, re.DOTALL)
    assert shown is not None
    heading, rows = shown[1].strip("\n").split("\n", 1)
    assert printed.startswith(heading + "\n")
    assert rows in printed


def test_every_part_of_the_json_of_a_prediction_is_in_the_readme(monkeypatch) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.chdir(ROOT)
    ran = CliRunner().invoke(app, ["predict", "procedures/five-tube-series-heaters.yaml", "--as", "json"])
    data = json.loads(ran.stdout)
    row = {name for name, value in data["rows"][-1].items() if not isinstance(value, list) or name in ("glow", "notes")}
    assert [name for name in (data.keys() | row) - {"auditor", *READINGS} if f"`{name}`" not in README] == []


@pytest.mark.parametrize(("begins", "arguments"), [
    ("NOT CONTAINED", ("procedures/flawed-ten-lines.yaml",)),
    ("fault  ", ("procedures/five-tube-series-heaters.yaml",)),
    ("What if the rectifier", ("procedures/five-tube-series-heaters.yaml", "--fault", "rectifier-tube-flashes-over"))])
def test_the_faults_in_the_readme_are_printed_so(begins: str, arguments: tuple[str, ...],
                                                 monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    shown = re.search(rf"```text\n({begins}.*?)\n```", README, re.DOTALL)
    assert shown is not None
    assert shown[1] in CliRunner().invoke(app, ["whatif", *arguments]).stdout


def test_the_index_in_the_readme_is_written_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    shown = re.search(r"```markdown\n(\| Procedure.*?)```", README, re.DOTALL)
    assert shown is not None
    written = CliRunner().invoke(app, ["index", "procedures", "--as", "markdown"]).stdout.splitlines()
    assert [line for line in shown[1].splitlines() if line not in written] == []


def test_what_the_readme_tells_of_a_safeguard_is_printed_so() -> None:
    shown = re.search(r"```text\n(What it does not contain.*?)\n```", README, re.DOTALL)
    assert shown is not None
    assert shown[1] in CliRunner().invoke(app, ["reason", "limiter"]).stdout


def test_the_row_of_a_sheet_in_the_readme_is_printed_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    heading, row = (re.findall(r"^\| (?:done|☐) \| (.*) \|$", README, re.MULTILINE))
    page = CliRunner().invoke(app, ["sheet", "procedures/five-tube-series-heaters.yaml"]).stdout
    printed = [[unescape(re.sub("<[^>]*>", "", cell)).strip()
                for cell in re.findall("<t[hd][^>]*>(.*?)</t[hd]>", body, re.DOTALL)]
               for body in re.findall("<t(?:body|head)>(.*?)</t(?:body|head)>", page, re.DOTALL)]
    for shown in (heading, row):
        assert any(cells[-len(shown.split(" | ")) - 1:-1] == shown.split(" | ") for cells in printed)


def test_the_plan_in_the_readme_can_be_read() -> None:
    plans = [block for block in re.findall(r"```yaml\n(.*?)```", README, re.DOTALL) if "procedure:" in block]
    assert plans
    for plan in plans:
        read_plan(plan)


def test_the_policy_in_the_readme_can_be_used(tmp_path: Path) -> None:
    shown, = (block for block in re.findall(r"```yaml\n(.*?)```", README, re.DOTALL) if block.startswith("policy:"))
    (tmp_path / "cards").mkdir()
    (tmp_path / "region.policy.yaml").write_text("policy: the region\n")
    (tmp_path / "power-up-policy.yaml").write_text(shown)
    policy = under(load_rulebook(), str(tmp_path / "power-up-policy.yaml")).policy
    assert policy is not None
    assert len(policy.weakens) == 3


def test_every_verb_is_in_the_readme() -> None:
    assert [verb for verb in VERBS if f"`{verb}`" not in README] == []


def test_every_command_is_in_the_readme() -> None:
    names = [command.name or command.callback.__name__ for command in app.registered_commands if command.callback]
    assert [name for name in names if f"`auditor {name}" not in README] == []
