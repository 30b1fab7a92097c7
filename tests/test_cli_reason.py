"""`auditor reason`, as somebody types it who wants to learn."""

from __future__ import annotations

import pytest
from typer.testing import CliRunner

from auditor.cli import app


def ran(*arguments: str) -> tuple[int, str, str]:
    result = CliRunner().invoke(app, ["reason", *arguments])
    return result.exit_code, result.stdout, result.stderr


def in_one_line(text: str) -> str:
    return " ".join(text.split())


def test_without_a_name_it_lists_kinds_hazards_and_safeguards() -> None:
    status, out, _ = ran()
    assert status == 0
    text = in_one_line(out)
    for part in ("`auditor rulebook` lists the rules", "`auditor reason glossary`", "Hazards: electric shock:",
                 "Safeguards: limiter:", "proving dead:"):
        assert part in text


@pytest.mark.parametrize("name", ["shock", "electric shock", "Electric-Shock"])
def test_a_hazard_is_found_by_any_of_its_names(name: str) -> None:
    status, out, _ = ran(name)
    assert (status, out.splitlines()[0]) == (0, "electric shock")


def test_a_safeguard_that_is_a_word_too_is_told_in_full_with_a_line_of_the_word() -> None:
    status, out, _ = ran("second person")
    assert status == 0
    assert "Also a word" not in out
    status, out, _ = ran("dial")
    assert status == 0
    assert out.startswith("adjustable autotransformer\n  a safeguard\n")
    assert "Also a word of the trade, dial: The knob" in out


def test_a_safeguard_is_tried_on_the_model() -> None:
    out = in_one_line(ran("limiter")[1])
    assert "Tried on the model: the five-tube set of the examples, its lamp left in to the end." in out
    assert "gets through, electric shock: " in out


@pytest.mark.parametrize("name", ["B+", "b+", "HT", "b_plus"])
def test_a_word_is_found_by_any_of_its_names(name: str) -> None:
    status, out, _ = ran(name)
    assert (status, out.splitlines()[0]) == (0, "B+")
    assert "Source: " in out


def test_the_glossary_tells_every_word_in_a_line() -> None:
    status, out, _ = ran("glossary")
    assert status == 0
    assert "hot chassis (also live chassis, hot): A chassis that is joined to one side" in out


def test_a_rule_is_told_with_a_plan_before_and_after() -> None:
    _, out, _ = ran("isolate-a-hot-chassis")
    before, after = out[out.index("Before and after"):].split("so that it is kept:")
    assert "isolating_transformer" not in before
    assert "- {isolating_transformer: {rated_power: 300 W, output_earthed: no}}" in after


@pytest.mark.parametrize(("typed", "meant"), [
    ("limitter", "limiter"), ("electric chock", "electric shock"), ("bleader", "bleeder"), ("glosary", "glossary"),
    ("isolate-hot-chassis", "isolate-a-hot-chassis"), ("short-in-a-cord", "short-in-the-cord")])
def test_a_misspelt_name_is_sought_among_all_kinds(typed: str, meant: str) -> None:
    status, out, err = ran(typed)
    assert (status, out) == (2, "")
    assert f"Did you mean `{meant}`?" in err


def test_a_name_like_no_other_is_refused_with_the_kinds_of_names() -> None:
    status, _, err = ran("xyzzy")
    assert status == 2
    for kind in ("a rule", "a fault", "a hazard", "a safeguard", "a word of the trade"):
        assert kind in err
