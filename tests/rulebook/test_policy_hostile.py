"""Careless and hostile policies: each is refused with its place, at once, and never puts weaker rules in force."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from auditor.plan.problems import Problem
from auditor.rulebook.in_force import under
from auditor.rulebook.load import BadRules, load_rulebook
from tests.properties.test_any_text import choices, placed, spoilt

SHIPPED = load_rulebook()
LONGEST = 1.0
"""Seconds of this process's time in which any file has to be refused."""
RULE = """\
  - rule: {name}
    signal_word: CAUTION
    hazard: damage
    stage: running
    requires: It is so.
    holds: {holds}
    message: It is not so.
    because: It has to be so.
    remedy: {{do: Make it so.}}
    sources: [common practice]
"""


def a_rule(holds: str, name: str = "a-rule-of-the-club") -> str:
    return "rules:\n" + RULE.format(name=name, holds=holds)


def refused(folder: Path, text: str | bytes) -> tuple[Problem, ...]:
    """The problems of this policy, which has to be refused within the time."""
    file = folder / "power-up-policy.yaml"
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    start = time.process_time()
    with pytest.raises(BadRules) as bad:
        under(SHIPPED, str(file))
    assert time.process_time() - start < LONGEST
    (_, problems), *_ = bad.value.files
    return problems


CARELESS = {
    "a misspelt fact in a rule": (a_rule("always(energized)"), "energized", "energised"),
    "a misspelt fact that plans should state": ("every_plan_states: [set.chasis]", "set.chasis", "set.chassis"),
    "a line of the plan in place of the fact": ("every_plan_states: [bench.people.second_person]",
                                                "bench.people.second_person", "bench.second_person"),
    "a fact that no plan can leave open": ("every_plan_states: [stop.smoke]", "stop.smoke", None),
    "a misspelt fact of the bench": ("equipment: [{rule: our-own-bench, is: {bench.isolatin_power: 3 W}}]",
                                     "bench.isolatin_power", "bench.isolating_power"),
    "a fact of a step said of the bench": ("equipment: [{rule: our-own-bench, is: {step.hold: 3 s}}]", "step.hold", None),
    "a bench of another dimension": ("equipment: [{rule: our-own-bench, is: {bench.isolating_power: 3 V}}]", "3 V", None),
    "a word that the bench never is": ("equipment: [{rule: our-own-bench, is: {mains.earth: presnt}}]", "presnt", "present"),
    "a yes or no that is neither": ("equipment: [{rule: our-own-bench, is: {bench.isolated: mostly}}]", "mostly", None),
    "a bench of which nothing is said": ("equipment: [{rule: our-own-bench, is: {}}]", "{}", None),
    "a bench with a condition that is none": (
        "equipment: [{rule: our-own-bench, when: mains.voltage <= 5 W, is: {bench.isolated: yes}}]", "5 W", None),
    "a misspelt limit": ("limits: {dial_step_shar: 0.1}", "dial_step_shar", "dial_step_share"),
    "a limit of another dimension": ("limits: {dead_below: 5 W}", "5 W", None),
    "a limit without its unit": ("limits: {dead_below: 5}", "5}", "5 V"),
    "a limit that is a range": ("limits: {dead_below: 3..5 V}", "3..5 V", None),
    "a looser limit without a reason": ("limits: {dead_below: 30 V}", "dead_below", "reason:"),
    "a looser limit with an empty reason": ("limits: {dead_below: {value: 30 V, reason: ' '}}", "dead_below", "reason:"),
    "a limit with an unknown key": ("limits: {dead_below: {valeu: 30 V}}", "valeu", "write `value:`"),
    "a new limit with the name of another": (
        "new_limits: [{limit: dead_below, kind: voltage, value: 90 V, stricter: lower, means: x, sources: [x]}]",
        "dead_below", "making-dead.yaml"),
    "a new limit that no rule can write": (
        "new_limits: [{limit: dead below, kind: voltage, value: 90 V, stricter: lower, means: x, sources: [x]}]",
        "dead below", "as in"),
    "a misspelt topic": ("topics: {isolaton: {value: no, reason: x}}", "isolaton", "isolation"),
    "a topic left out without a reason": ("topics: {isolation: no}", "isolation", "reason:"),
    "a topic that is neither in nor out": ("topics: {isolation: perhaps}", "perhaps", None),
    "the name of a topic": ("policy: isolation", "isolation", None),
    "a bar that is no signal word": ("fails_from: HORROR", "HORROR", None),
    "a lower bar without a reason": ("fails_from: DANGER", "fails_from", "reason:"),
    "a risk of a rule that there is none of": ("may_accept: [{rules: [isolate-a-hot-chasis]}]", "isolate-a-hot-chasis",
                                               "isolate-a-hot-chassis"),
    "a DANGER without a reason": ("may_accept: [{rules: [isolate-a-hot-chassis]}]", "{rules", "reason:"),
    "every DANGER at once": ("may_accept: [{up_to: DANGER, reason: x}]", "DANGER", "rules"),
    "permission for nothing": ("may_accept: [{who: foreman}]", "{who", "up_to"),
    "a permission for nobody": ("may_accept: [{who: [], up_to: CAUTION}]", "who", "name them"),
    "a permission for somebody without a name": ("may_accept: [{who: [a, ''], up_to: CAUTION}]", "who", "name them"),
    "a permission for whom nobody says": ("may_accept: [{who: , up_to: CAUTION}]", "who", "name them"),
    "a permission for how long nobody says": ("may_accept: [{up_to: CAUTION, at_most: }]", "at_most", "leave `at_most` out"),
    "nothing about what may be accepted": ("may_accept:", "may_accept", "`may_accept: []`"),
    "no policy to build on": ("builds_on:", "builds_on", "leave the line out"),
    "a time without an end": ("may_accept: [{up_to: CAUTION, at_most: 30 days..}]", "30 days", "as in"),
    "a time of less than a day": ("may_accept: [{up_to: CAUTION, at_most: 3 h}]", "3 h", "as in"),
    "current below zero": ("equipment: [{rule: our-own-bench, is: {bench.dial_fuse: -3 A}}]", "-3 A", None),
    "the line of a plan for a fact of the bench": (
        "equipment: [{rule: our-own-bench, is: {isolating_transformer.rated_power: 300 W}}]",
        "isolating_transformer.rated_power", "bench.isolating_power"),
    "the whole line of a plan for a fact of the bench": (
        "equipment: [{rule: our-own-bench, is: {bench.chain.isolating_transformer.rated_power: 300 W}}]",
        "bench.chain.isolating_transformer.rated_power", "bench.isolating_power"),
    "a fact like no other": ("every_plan_states: [xyzzy]", "xyzzy", "auditor schema --as markdown"),
    "a time that is none": ("may_accept: [{up_to: CAUTION, at_most: 3 V}]", "3 V", None),
    "the name of a shipped rule": (a_rule("energised", "isolate-a-hot-chassis"), "isolate-a-hot-chassis", None),
    "a former name like that of a shipped rule": (
        a_rule("energised").replace("    signal_word", "    formerly: [isolate-a-hot-chassis]\n    signal_word"),
        "a-rule-of-the-club", None),
    "an unknown part": ("limit: {dead_below: 5 V}", "limit:", "limits"),
    "cards above the policy": ("cards: ..", "..", "as in"),
    "cards anywhere": ("cards: /etc", "/etc", "as in"),
    "cards that are not there": ("cards: nowhere", "nowhere", None),
    "a policy to build on that is not there": ("builds_on: other.policy.yaml", "other.policy.yaml", None),
    "a policy to build on anywhere": ("builds_on: /etc/passwd", "/etc/passwd", "as in"),
    "a folder to build on": ("builds_on: ./.yaml/../.yaml", "./.yaml", None),
}
"""What is wrong, by name: the policy but for its title, where its first mistake stands, and what is suggested."""


@pytest.mark.parametrize("kind", CARELESS)
def test_a_mistake_is_told_where_it_stands_with_what_to_write(kind: str, tmp_path: Path) -> None:
    text, piece, instead = CARELESS[kind]
    text = text if text.startswith("policy:") else f"policy: the club\n{text}\n"
    at = text.index(piece)
    spot = text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at)
    places = {(p.place.line, p.place.column): p for p in refused(tmp_path, text) if p.place is not None}
    assert spot in places
    problem = places[spot]
    if instead is not None:
        assert instead in (problem.suggestion or "")


HOSTILE: dict[str, str | bytes] = {
    "volts against watts": a_rule("dial <= set.rated_power"),
    "an unknown operator": a_rule("matches(set.chassis, 5)"),
    "a regular expression": a_rule("'set.chassis ~ \"(a+)+$\"'"),
    "a regular expression as an operator": a_rule("\"matches('((a*)*)*b', set.chassis)\""),
    "Python": a_rule("\"__import__('os').system('touch owned')\""),
    "Python in a limit": "limits: {dead_below: \"__import__('os')\"}",
    "Python in the bench": "equipment: [{rule: our-own-bench, is: {bench.isolating_power: \"eval('1')\"}}]",
    "Python in a tag": "cards: !!python/object/apply:os.system [touch owned]",
    "attributes": a_rule("set.__class__.__mro__ is hot"),
    "deep parentheses": a_rule("(" * 900 + "energised" + ")" * 900),
    "deep operators": a_rule("once(" * 300 + "energised" + ")" * 300),
    "an endless expression": a_rule("energised or " * 9_000 + "energised"),
    "a thousand rules": "rules:\n" + "".join(RULE.format(name=f"rule-number-a{i}", holds="energised") for i in range(1000)),
    "a thousand short rules": "rules:\n" + "".join(f"  - {{rule: a-b{i}}}\n" for i in range(1000)),
    "a hundred wrong rules": "rules:\n" + "".join(RULE.format(name=f"rule-a{i}", holds="energized") for i in range(100)),
    "a message with thousands of names": a_rule("energised").replace("It is not so.", "{enegrised} " * 1500),
    "a thousand limits": "limits:\n" + "".join(f"  dead_blow_{i}: 5 V\n" for i in range(1000)),
    "a thousand facts": "every_plan_states:\n" + "".join(f"  - set.chasis{i}\n" for i in range(1000)),
    "thousands of facts of the bench": "equipment:\n" + "".join(
        f"  - rule: our-bench\n    is: {{{', '.join(f'bench.chasis{i}: 3 W' for i in range(90))}}}\n" for _ in range(60)),
    "thousands of rules to accept": "may_accept:\n" + "".join(
        f"  - rules: [{', '.join(f'isolate-a-hot-chasis{i}' for i in range(90))}]\n" for _ in range(90)),
    "thousands of keys": "".join(f"limitss{i}: x\n" for i in range(5000)),
    "deep lists": "cards: " + "[" * 50_000,
    "deep mappings": "limits: " + "{a: " * 25_000,
    "aliases of aliases": "x0: &x0 [a, a]\n" + "".join(
        f"x{i}: &x{i} [{', '.join([f'*x{i - 1}'] * 9)}]\n" for i in range(1, 12)),
    "a mebibyte": "cards: " + "x" * (1 << 20),
    "many long lines": ("cards: >\n" + ("  " + "x " * 9_000 + "\n") * 60),
    "broken at the end of much": "rules:\n" + "".join(RULE.format(name=f"rule-a{i}", holds="energised") for i in range(90))
                                 + "  - [\n",
    "not UTF-8": b"policy: \xff\xfe\n",
    "a NUL": b"policy: a\x00b\n",
    "a list": b"- policy\n",
    "nothing": b"",
    "a key twice": b"policy: a\npolicy: b\n",
    "no name": b"limits: {dead_below: 5 V}\n",
}


@pytest.mark.parametrize("kind", HOSTILE)
def test_a_hostile_policy_is_refused_with_a_place_and_at_once(kind: str, tmp_path: Path,
                                                              monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    text = HOSTILE[kind]
    for problem in refused(tmp_path, text if isinstance(text, bytes) else f"policy: the club\n{text}\n"):
        assert problem.place is not None
    assert [file.name for file in tmp_path.iterdir()] == ["power-up-policy.yaml"]


def test_no_more_than_a_few_mistakes_of_a_file_are_told(tmp_path: Path) -> None:
    text = "rules:\n" + "".join(RULE.format(name=f"rule-a{i}", holds="energized") for i in range(60))
    (tmp_path / "p.policy.yaml").write_text(f"policy: the club\n{text}")
    with pytest.raises(BadRules) as bad:
        under(SHIPPED, str(tmp_path / "p.policy.yaml"))
    assert 2 <= len(bad.value.files[0][1]) <= 25


CLUB = (Path(__file__).parents[2] / "procedures" / "power-up-policy.yaml").read_text(encoding="utf-8")


def used_or_refused(folder: Path, text: str) -> None:
    file = folder / "p.policy.yaml"
    file.write_text(text, encoding="utf-8", errors="replace")
    try:
        rulebook = under(SHIPPED, str(file))
    except BadRules as error:
        for _, problems in error.files:
            placed(problems)
        return
    # Whatever the text has become, a shipped rule is left out or a limit loosened only where that is told.
    policy = rulebook.policy
    assert policy is not None
    assert policy.weakens or {rule.name for rule in SHIPPED.rules} <= {rule.name for rule in rulebook.rules}


@given(choices)
def test_a_spoilt_policy_is_used_or_refused_with_a_place(tmp_path_factory: pytest.TempPathFactory,
                                                         number: Callable[[int], int]) -> None:
    used_or_refused(tmp_path_factory.mktemp("spoilt"), spoilt(CLUB.split("\n---\n")[0], number))


@given(st.text(max_size=200))
def test_any_text_for_a_policy_is_used_or_refused_with_a_place(tmp_path_factory: pytest.TempPathFactory, text: str) -> None:
    used_or_refused(tmp_path_factory.mktemp("any"), text)
