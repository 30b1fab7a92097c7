"""Every mistake in a rule file is told, with its place and what to write instead; nothing in one is executed or skipped."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from auditor.plan.problems import Problem
from auditor.rulebook.load import BadRules, compile_rulebook, load_rulebook, two_documents
from auditor.rulebook.rule import Rulebook

GOOD = """\
topic: a topic of the Millrace Valley Wireless Society

limits:
  - limit: highest_dial
    kind: voltage
    value: 100 V
    stricter: lower
    means: The dial is never set higher than this.
    sources: [common practice]

rules:
  - rule: keep-the-dial-low
    formerly: [low-dial-only]
    signal_word: CAUTION
    hazard: damage
    stage: ramp and hold
    requires: The dial stays low.
    applies_when: bench.autotransformer
    holds: always(energised -> dial <= limit.highest_dial)
    message: At step `{step}` the dial stands at {dial}.
    because: It is an example. It teaches nothing.
    remedy:
      do: Turn it down.
    sources: [common practice]
"""
HOLDS = "always(energised -> dial <= limit.highest_dial)"
LONGEST = 2.0
"""Seconds that the reading of any hostile file may take."""


def rules(text: str | bytes) -> Rulebook:
    return compile_rulebook([("a.yaml", text.encode() if isinstance(text, str) else text)])


def problems(text: str | bytes) -> tuple[Problem, ...]:
    with pytest.raises(BadRules) as bad:
        rules(text)
    (name, found), = bad.value.files
    assert name == "a.yaml"
    return found


def changed(was: str, now: str, text: str = GOOD) -> str:
    assert text.count(was) == 1, was
    return text.replace(was, now)


def holding(expression: str) -> str:
    return changed(f"holds: {HOLDS}", f"holds: {expression}")


def spot(text: str, piece: str) -> tuple[int, int]:
    at = text.index(piece)
    return text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at)


def the_problem(text: str) -> Problem:
    problem, = problems(text)
    return problem


def test_a_file_without_a_mistake_is_read() -> None:
    rule, = rules(GOOD).rules
    assert rule.name == "keep-the-dial-low"


MISTAKES = {
    "a fact that there is none of": (holding("always(energized -> dial <= 5 V)"), "energized", "energised"),
    "a limit that there is none of": (holding("always(dial <= limit.highest_dail)"), "limit.highest_dail",
                                      "limit.highest_dial"),
    "a word that the fact never is": (holding("set.chassis is hott"), "hott", "hot"),
    "an operator that there is none of": (holding("alway(energised)"), "alway", "always"),
    "a number without its unit": (holding("always(dial <= 5)"), "5)", "5 V"),
    "a unit that there is none of": (holding("always(dial <= 5 Volt)"), "Volt)", None),
    "a unit of another dimension": (holding("always(dial <= 5 W)"), "5 W", None),
    "two facts of two dimensions": (holding("dial <= set.rated_power"), "set.rated_power", None),
    "a foreign sign": (holding("dial == 5 V"), "== 5", "is"),
    "a word alone": (holding("set.chassis"), "set.chassis", "set.chassis is hot"),
    "a number alone": (holding("dial"), "dial\n    message", None),
    "an open parenthesis": (holding("always(energised"), "\n    message", None),
    "`stated` in a trigger": (changed("applies_when: bench.autotransformer", "applies_when: stated(set.chassis)"),
                              "stated(set.chassis)", None),
    "an unknown key": (changed("    formerly:", "    formely:"), "formely", "write `formerly:`"),
    "a bad signal word": (changed("signal_word: CAUTION", "signal_word: CAUTON"), "CAUTON", "CAUTION"),
    "a bad hazard": (changed("hazard: damage", "hazard: damge"), "damge", "damage"),
    "a bad stage": (changed("stage: ramp and hold", "stage: ramp and holt"), "ramp and holt", "ramp and hold"),
    "a message that names no fact": (changed("{dial}", "{dail}"), "At step", "dial"),
    "a message that names an item nobody knows": (changed("{dial}", "{capacitor.condition}"), "At step", None),
    "a message that names the item of a rule that has none": (changed("{dial}", "{item}"), "At step", "for_each"),
    "a verb that no step has": (holding("never(step.verb is raise)"), "step.verb", "set_dial"),
    "a verb among others that no step has": (holding("never(step.verb is one of (wait, raise))"), "step.verb", "set_dial"),
    "a unit in small letters": (holding("always(dial <= 5 v)"), "v)", "V"),
    "a name that does not speak": (changed("rule: keep-the-dial-low", "rule: R17"), "R17", "as in"),
    "no source": (changed("    remedy:\n      do: Turn it down.\n    sources: [common practice]",
                          "    remedy:\n      do: Turn it down.\n    sources: []"), "[]", None),
    "a limit of no kind": (changed("kind: voltage", "kind: voltag"), "voltag", "voltage"),
    "a limit of another dimension": (changed("value: 100 V", "value: 100 W"), "100 W", None),
    "a limit that is a range": (changed("value: 100 V", "value: 90..100 V"), "90..100 V", None),
    "a limit of no direction": (changed("stricter: lower", "stricter: lesser"), "lesser", None),
}


@pytest.mark.parametrize("kind", MISTAKES)
def test_a_mistake_is_told_where_it_stands(kind: str) -> None:
    text, piece, _ = MISTAKES[kind]
    place = problems(text)[0].place
    assert place is not None
    line, column = spot(text, piece)
    assert place.line == line
    assert place.column == column


@pytest.mark.parametrize("kind", [kind for kind in MISTAKES if MISTAKES[kind][2]])
def test_a_mistake_is_told_with_what_to_write_instead(kind: str) -> None:
    text, _, instead = MISTAKES[kind]
    suggestion = problems(text)[0].suggestion
    assert suggestion is not None
    assert str(instead) in suggestion


@pytest.mark.parametrize("key", ["rule", "signal_word", "hazard", "stage", "requires", "holds", "message", "because"])
def test_a_missing_part_is_named(key: str) -> None:
    line = next(line for line in GOOD.splitlines() if line.lstrip("- ").startswith(f"{key}:"))
    text = changed(line, "  - formerly: []" if key == "rule" else "    # left out")
    text = text.replace("    formerly: [low-dial-only]\n", "") if key == "rule" else text
    problem = the_problem(text)
    assert f"`{key}` is missing" in problem.message
    assert problem.place is not None


def test_a_rule_name_that_is_there_twice_is_refused() -> None:
    again = GOOD + GOOD[GOOD.index("  - rule:"):].replace("    formerly: [low-dial-only]\n", "")
    assert "`keep-the-dial-low` is already a rule of a.yaml" in the_problem(again).message


def test_a_former_name_is_taken_like_a_present_one() -> None:
    again = GOOD + GOOD[GOOD.index("  - rule:"):].replace("rule: keep-the-dial-low", "rule: low-dial-only").replace(
        "    formerly: [low-dial-only]\n", "")
    assert "`low-dial-only` is already a rule" in the_problem(again).message


def test_a_rule_is_found_by_its_former_name() -> None:
    assert rules(GOOD).by_name["low-dial-only"].name == "keep-the-dial-low"


def test_a_name_taken_in_another_file_is_told_with_that_file() -> None:
    with pytest.raises(BadRules) as bad:
        compile_rulebook([("a.yaml", GOOD.encode()), ("b.yaml", GOOD.split("limits:")[0].encode() + GOOD[
            GOOD.index("rules:"):].encode())])
    assert [name for name, _ in bad.value.files] == ["b.yaml"]
    assert "a.yaml" in bad.value.files[0][1][0].message


def test_a_limit_that_is_there_twice_is_refused() -> None:
    limit = GOOD[GOOD.index("  - limit:"):GOOD.index("rules:")]
    assert "`highest_dial` is there twice" in the_problem(changed("rules:\n", limit + "rules:\n")).message


def test_a_fact_of_an_item_needs_the_item() -> None:
    problem = the_problem(holding("always(not capacitor.charged)"))
    assert "`for_each: capacitor`" in problem.message
    each = changed("    signal_word:", "    for_each: capacitor\n    signal_word:", holding("always(not capacitor.charged)"))
    assert rules(each).rules[0].text.for_each == "capacitor"


def test_every_mistake_of_a_file_is_told_at_once() -> None:
    text = changed("rule: keep-the-dial-low", "rule: R17", changed("{dial}", "{dail}", holding("energized")))
    assert len(problems(text)) == 3


def test_every_file_with_a_mistake_is_told() -> None:
    bad = holding("energized").encode()
    with pytest.raises(BadRules) as found:
        compile_rulebook([("a.yaml", bad), ("b.yaml", b"rules: []"), ("c.yaml", b"[")])
    assert {name for name, _ in found.value.files} == {"a.yaml", "b.yaml", "c.yaml"}


# Two documents in a file


def test_the_examples_stand_after_a_line_of_three_hyphens() -> None:
    assert two_documents("topic: x\n---\na: 1\n") == ("topic: x\n", "a: 1\n", 3)


@pytest.mark.parametrize("line", ["---\r\n", "--- \n", "---\t\n", "--- # the examples\n"])
def test_the_line_may_end_as_another_editor_writes_it(line: str) -> None:
    assert two_documents(f"topic: x\n{line}a: 1\n") == ("topic: x\n", "a: 1\n", 3)


def test_a_file_may_begin_with_such_a_line_too() -> None:
    assert two_documents("# rules\n\n---\ntopic: x\n---\na: 1\n") == ("# rules\n\n---\ntopic: x\n", "a: 1\n", 6)
    assert rules("---\n" + GOOD + "---\na: 1\n").rules[0].name == "keep-the-dial-low"


def test_what_only_looks_like_the_line_is_none() -> None:
    for line in ("----\n", " ---\n", "---a\n"):
        assert two_documents(f"topic: x\n{line}")[1] == ""


def test_a_file_with_the_line_ends_of_windows_is_read() -> None:
    assert rules((GOOD + "---\na: 1\n").replace("\n", "\r\n")).rules[0].name == "keep-the-dial-low"


def test_a_message_may_name_the_item_of_its_rule() -> None:
    text = changed("{dial}", "{capacitor.condition}")
    assert rules(changed("    signal_word:", "    for_each: capacitor\n    signal_word:", text)).rules


def test_a_file_may_end_with_the_line_of_three_hyphens() -> None:
    assert rules(GOOD + "---\n").rules[0].name == "keep-the-dial-low"


def test_a_mistake_in_a_folded_expression_is_told_at_the_expression() -> None:
    text = holding(">-\n      always(energized\n      -> dial <= 5 V)")
    place = the_problem(text).place
    assert place is not None
    assert place.line <= spot(text, "energized")[0] <= place.end_line


# Hostile files


CODE = ["__import__('os')", "__import__('os').system('touch owned')", "set.__class__", "energised.__class__.__mro__",
        "always.__globals__", "'a' * 1e9", "eval('1')", "lambda: energised", "[energised for x in y]", "dial[0]",
        "exec(\"1\")", "\uff45\uff4e\uff45\uff52\uff47\uff49\uff53\uff45\uff44", "energised; energised", "9**9**9",
        "energised if dial else fed", "energised\\n", "{energised}", "f'{dial}'", "1e999 <= 1", "dial <= 1e400 V"]
BIG = {
    "deep parentheses": "(" * 900 + "energised" + ")" * 900,
    "deep negation": "not " * 400 + "energised",
    "deep operators": "once(" * 300 + "energised" + ")" * 300,
    "a long chain": " and ".join(["energised"] * 140),
    "too long": "energised or " * 100_000 + "energised",
}


@pytest.mark.parametrize("code", CODE)
def test_what_looks_like_code_is_a_mistake_with_a_place(code: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    text = holding("'" + code.replace("'", "''") + "'")
    place = the_problem(text).place
    assert place is not None
    assert place.line == spot(text, "    holds:")[0]
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("kind", [kind for kind in BIG if kind != "a long chain"])
def test_an_expression_that_is_too_large_is_refused_quickly(kind: str) -> None:
    start = time.process_time()
    assert problems(holding(BIG[kind]))
    assert time.process_time() - start < LONGEST


def test_an_expression_just_within_the_bounds_is_read_quickly() -> None:
    start = time.process_time()
    assert rules(holding(BIG["a long chain"])).rules
    assert time.process_time() - start < LONGEST


HOSTILE = {
    "deep lists": b"topic: " + b"[" * 100_000,
    "deep mappings": b"topic: " + b"{a: " * 50_000,
    "a mebibyte": b"topic: " + b"x" * (1 << 20),
    "aliases of aliases": b"topic: &a [x, x]\n" + b"".join(
        b"k%d: &k%d [%s]\n" % (i, i, b", ".join([b"*k%d" % (i - 1) if i else b"*a"] * 9)) for i in range(12)),
    "a tag": b"topic: !!python/object/apply:os.system [touch owned]\nrules: []\n",
    "not UTF-8": b"topic: \xff\xfe\nrules: []\n",
    "a NUL": b"topic: a\x00b\nrules: []\n",
    "a list": b"- topic\n",
    "nothing": b"",
    "a key twice": b"topic: a\ntopic: b\nrules: []\n",
}


@pytest.mark.parametrize("kind", HOSTILE)
def test_a_hostile_file_is_refused_quickly(kind: str) -> None:
    start = time.process_time()
    assert problems(HOSTILE[kind])
    assert time.process_time() - start < LONGEST


def test_one_bad_rule_is_not_skipped_for_the_sake_of_the_others() -> None:
    good = GOOD[GOOD.index("  - rule:"):].replace("keep-the-dial-low", "another-good-rule")
    good = good.replace("low-dial-only", "older-name")
    assert len(problems(holding("energized") + good)) == 1


def test_the_shipped_rules_are_read() -> None:
    assert len(load_rulebook().rules) >= 60
