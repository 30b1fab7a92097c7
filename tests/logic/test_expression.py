"""The language of rules: what can be said, and what is refused, where, and with which advice."""

from __future__ import annotations

import pytest

from auditor.logic.expression import (
    TRUTH,
    ExpressionError,
    Kind,
    NumberKind,
    WordKind,
    names_in,
    parse_expression,
    polarities,
)
from auditor.logic.nodes import parts_of
from auditor.logic.quantity import DIMENSIONS

VOCABULARY: dict[str, Kind] = {
    "energised": TRUTH,
    "isolated": TRUTH,
    "set.voltage": NumberKind(DIMENSIONS["voltage"]),
    "set.rated_voltage": NumberKind(DIMENSIONS["voltage"]),
    "set.current": NumberKind(DIMENSIONS["current"]),
    "set.rated_power": NumberKind(DIMENSIONS["power"]),
    "limit.soak": NumberKind(DIMENSIONS["time"]),
    "set.chassis": WordKind(("hot", "isolated", "floating from chassis", "two-wire")),
    "cabinet.material": WordKind(("wood", "metal")),
    "lamp.state": WordKind(("hot", "cold")),
}


@pytest.mark.parametrize(
    ("text", "meaning"),
    [
        ("energised -> isolated -> energised", "(energised -> (isolated -> energised))"),
        ("energised or isolated and energised", "(energised or (isolated and energised))"),
        ("energised or isolated -> energised", "((energised or isolated) -> energised)"),
        ("not energised and isolated", "((not energised) and isolated)"),
        ("not set.voltage < 5 V", "(not (set.voltage < 5 V))"),
        ("set.voltage - 5 V - 1 V < 2 V", "(((set.voltage - 5 V) - 1 V) < 2 V)"),
        ("set.voltage <= 2 * set.rated_voltage + 1 V", "(set.voltage <= ((2 * set.rated_voltage) + 1 V))"),
        ("-set.voltage < 0.1 kV", "((-set.voltage) < 100 V)"),
        ("set.voltage * set.current < 5 W", "((set.voltage * set.current) < 5 W)"),
        ("set.voltage > 90 % * set.rated_voltage", "(set.voltage > (0.9 * set.rated_voltage))"),
        ("set.chassis is hot", '(set.chassis is "hot")'),
        ("set.chassis is two-wire", '(set.chassis is "two-wire")'),
        ("set.chassis is not 'floating from chassis'", '(not (set.chassis is "floating from chassis"))'),
        ("set.chassis is one of (isolated, hot)", '(set.chassis is one of ("hot", "isolated"))'),
        ("set.chassis is lamp.state", "(set.chassis is lamp.state)"),
        ("once(isolated, within 2 h 30 min)", "once(isolated, within 9000 s)"),
        ("for_at_least(energised, limit.soak)", "for_at_least(energised, limit.soak)"),
        ("since(energised,\n  isolated)", "since(energised, isolated)"),
    ],
)
def test_what_a_text_means(text: str, meaning: str) -> None:
    assert parse_expression(text, VOCABULARY).root.canonical == meaning


@pytest.mark.parametrize(
    ("text", "column", "message", "suggestion"),
    [
        ("set.rated_power < 5 V", 19, "is a power and `5 V` is a voltage: they cannot be compared", None),
        ("set.voltage + set.current < 5 V", 15, "cannot be added", None),
        ("set.voltage > 0", 15, "cannot be compared", "0 V"),
        ("isolated and set.chasis is hot", 14, "nothing is called `set.chasis`", "set.chassis"),
        ("chassis is hot", 1, "nothing is called `chassis`", "set.chassis"),
        ("set.chassis is hto", 16, "never `hto`; it is one of: hot, isolated", "hot"),
        ("set.chassis is floating from chassis", 16, "is never `floating`", '"floating from chassis"'),
        ("set.chassis is cabinet.material", 16, "no word in common", None),
        ("set.chassis is", 15, "`is` needs a word", None),
        ("set.chassis", 1, "is a word: say which", "set.chassis is hot"),
        ("energised and set.voltage", 15, "is a voltage: compare it", None),
        ("set.voltage is hot", 1, "compare numbers with", None),
        ("energised is isolated", 1, "write it alone", None),
        ("energised < 5 V", 1, "where a number is expected", None),
        ("energised == isolated", 11, "in place of `==`", "is"),
        ("energised && isolated", 11, "in place of `&&`", "and"),
        ("1 V < set.voltage < 2 V", 19, "two numbers at a time", None),
        ("set.voltage < 3 voltz", 17, "no unit is spelled `voltz`", "volt"),
        ("set.voltage < 010 V", 15, "leading zero", "10 V"),
        ("oncee(energised)", 1, "no operator is called `oncee`", "once"),
        ("once", 1, "in parentheses", None),
        ("since(energised)", 16, "write `since(x, y) or since(x, y, within 10 min)`", None),
        ("once(energised, 5 min)", 17, "`within` is expected", None),
        ("once(energised, within 5 V)", 24, "the bound is a time", None),
        ("always(energised, within 5 min)", 17, "write `always(x)`", None),
        ("(energised", 11, "close the parenthesis at column 1", None),
        ("energised isolated", 11, "does not follow", None),
        ("energised and", 14, "the text ends", None),
        ("", 1, "the text ends", None),
        ("energised.__class__", 1, "nothing is called", "energised"),
        ("\N{FULLWIDTH LATIN SMALL LETTER E}nergised", 1, "has no meaning here", None),
        ("(" * 50, 42, "nested more than 40 deep", None),
        ("not " * 50 + "energised", 165, "nested more than 40 deep", None),
        ("1 + " * 50 + "1 < 2", 1, "nested more than 40 deep", None),
        ("energised or " * 150 + "isolated " + "or energised " * 15, 2001, "at most 2000 characters", None),
    ],
)
def test_what_is_refused_where_and_with_which_advice(text: str, column: int, message: str, suggestion: str | None) -> None:
    with pytest.raises(ExpressionError) as refused:
        parse_expression(text, VOCABULARY)
    assert message in refused.value.message
    assert (refused.value.column, refused.value.suggestion) == (column, suggestion)


def test_an_expression_of_too_many_parts_is_refused() -> None:
    with pytest.raises(ExpressionError, match="more than 400 parts"):
        parse_expression("p or " * 399 + "p", {"p": TRUTH})
    parse_expression("p or " * 398 + "p", {"p": TRUTH})


def test_a_number_may_be_asked_for_in_place_of_a_truth() -> None:
    voltage = NumberKind(DIMENSIONS["voltage"])
    assert parse_expression("2 * set.voltage", VOCABULARY, expects=voltage).kind == voltage
    with pytest.raises(ExpressionError, match="this is a power, where a voltage is expected"):
        parse_expression("set.rated_power", VOCABULARY, expects=voltage)


def test_every_part_knows_its_column() -> None:
    root = parse_expression("energised -> once(isolated, within 5 min)", VOCABULARY).root
    assert [(part.canonical, part.column) for part in parts_of(root)] == [
        ("(energised -> once(isolated, within 300 s))", 1),
        ("energised", 1),
        ("once(isolated, within 300 s)", 14),
        ("isolated", 19),
        ("300 s", 36),
    ]


def test_the_names_that_an_expression_reads() -> None:
    text = "energised and set.chassis is lamp.state -> for_at_least(stated(isolated), limit.soak)"
    expected = {"energised", "set.chassis", "lamp.state", "isolated", "limit.soak"}
    assert names_in(parse_expression(text, VOCABULARY)) == expected


@pytest.mark.parametrize(
    "text",
    [
        "stated(set.chassis)",
        "energised -> stated(set.chassis)",
        "not not stated(energised)",
        "(stated(energised) -> energised) -> isolated",
        "never(not stated(energised))",
        "since(stated(energised), isolated)",
    ],
)
def test_stated_may_stand_where_hiding_the_fact_makes_things_worse(text: str) -> None:
    parse_expression(text, VOCABULARY)


@pytest.mark.parametrize(
    ("text", "column"),
    [
        ("not stated(set.chassis)", 5),
        ("stated(set.chassis) -> energised", 1),
        ("isolated and never(stated(energised))", 20),
        ("begins(stated(energised))", 8),
    ],
)
def test_stated_may_not_stand_where_hiding_the_fact_makes_things_better(text: str, column: int) -> None:
    with pytest.raises(ExpressionError, match="would improve the outcome") as refused:
        parse_expression(text, VOCABULARY)
    assert refused.value.column == column


def test_in_the_condition_of_a_rule_it_is_the_other_way_round() -> None:
    parse_expression("not stated(set.chassis)", VOCABULARY, trigger=True)
    with pytest.raises(ExpressionError):
        parse_expression("stated(set.chassis)", VOCABULARY, trigger=True)


def test_which_way_each_fact_pushes_the_outcome() -> None:
    text = "always(energised and set.chassis is hot -> isolated and set.voltage <= set.rated_voltage)"
    assert polarities(parse_expression(text, VOCABULARY)) == {
        "energised": -1,
        "set.chassis": 0,
        "isolated": 1,
        "set.voltage": -1,
        "set.rated_voltage": 1,
    }


def test_a_longer_bound_helps_once_and_hurts_for_at_least() -> None:
    assert polarities(parse_expression("once(energised, within limit.soak)", VOCABULARY))["limit.soak"] == 1
    assert polarities(parse_expression("for_at_least(energised, limit.soak)", VOCABULARY))["limit.soak"] == -1
