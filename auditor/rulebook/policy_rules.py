"""The rules that a policy asks for without writing them out: what every plan states, and how the bench is."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from auditor.bench.fact import Fact
from auditor.bench.facts import FACTS, ITEM_KINDS
from auditor.logic.kinds import NumberKind, TruthKind, WordKind
from auditor.logic.quantity import QuantityError, parse_quantity
from auditor.logic.units import base_unit
from auditor.plan.nearest import nearest
from auditor.plan.place import Path
from auditor.plan.problems import Problem
from auditor.plan.values import NO, YES, listed
from auditor.rulebook.policy_file import Equipment, PolicyText
from auditor.rulebook.rule import Remedy, Rulebook, RuleText

Written = tuple[Path, RuleText]
LOOKED_UP = ("write the line of the plan that says it, as `auditor schema --as markdown` lists it, and the name of the fact "
             "is told here")


def source_of(policy: PolicyText) -> Any:
    """The source of a rule that a policy asks for: the policy."""
    return [f"policy: {policy.policy}"]


def stating_rules(policy: PolicyText, rulebook: Rulebook, problems: list[Problem]) -> Iterator[Written]:
    """A rule for each fact that every plan has to state, but for those that a policy below asks for already."""
    for i, name in enumerate(policy.every_plan_states):
        path: Path = ("every_plan_states", i)
        fact = FACTS.get(name)
        if fact is None or not fact.asks:
            can_be = {known: each for known, each in FACTS.items() if each.asks}
            problems.append(Problem(f"`{name}` is no fact that a plan can leave open", path, None, _meant(name, can_be)))
            continue
        called, holds = f"state-{name.replace('.', '-').replace('_', '-')}", f"stated({name})"
        known = rulebook.by_name.get(called)
        there = known and known.text
        if there and (there.signal_word, there.applies_when, there.holds) == ("CAUTION", None, holds):
            continue
        yield path, RuleText(
            rule=called, signal_word="CAUTION", hazard="false reading",
            stage="papers and inspection", for_each=fact.scope if fact.scope in ITEM_KINDS else None,
            requires=f"The plan states `{name}`.", holds=holds,
            message=f"The plan does not state `{name}` ({fact.meaning}).",
            because=f"The policy `{policy.policy}` wants it written in every plan. What is not written is asked about too"
                    " late, or not at all.",
            remedy=Remedy(do=f"Write it in the plan: {' and '.join(f'`{line}`' for line in fact.asks)}."),
            sources=source_of(policy))


def bench_rules(policy: PolicyText, problems: list[Problem]) -> Iterator[Written]:
    """A rule for each bench: a plan says of it what it is."""
    for i, bench in enumerate(policy.equipment):
        path: Path = ("equipment", i)
        before = len(problems)
        formulas = [_formula(name, value, (*path, "is", name), problems) for name, value in bench.has.items()]
        if not bench.has:
            problems.append(Problem("this says nothing of the bench", (*path, "is"), None,
                                    "as in `is: {bench.isolating_power: 300 VA}`"))
        if len(problems) == before:
            yield path, _bench_rule(policy, bench, " and ".join(filter(None, formulas)))


def _bench_rule(policy: PolicyText, bench: Equipment, holds: str) -> RuleText:
    compared = "; ".join(f"`{_line(name)}` is {{{name}}} in the plan and {value} on the bench"
                         for name, value in bench.has.items())
    return RuleText(
        rule=bench.rule, signal_word="WARNING", hazard="fire", stage="bench and limiter",
        requires="The plan describes the bench as the policy has it.", applies_when=bench.when, holds=holds,
        message=f"The plan does not describe the bench as it is ({compared}).",
        because=bench.because or "Every rating is judged by what the plan says of the bench. A plan that counts on a larger"
                " transformer or another fuse than the one in front of you is a plan for another bench.",
        remedy=Remedy(do="Describe the bench as it is, or use its card."),
        sources=source_of(policy))


def _line(name: str) -> str:
    """What a plan calls a fact of the bench."""
    return FACTS[name].asks[0].removeprefix("bench.chain.") if FACTS[name].asks else name


def _meant(name: str, facts: dict[str, Fact]) -> str:
    """The fact that was meant: by its name, or by the line of a plan that states it, whole or its end."""
    by_line = {part: known for known, each in reversed(facts.items()) for ask in each.asks
               for parts in [ask.replace("[]", "").split(".")] for part in (".".join(parts[-2:]), ".".join(parts))}
    found = by_line.get(name) or nearest(name, facts)
    if found is None and (line := nearest(name, by_line)) is not None:
        found = by_line[line]
    return found or LOOKED_UP


def _formula(name: str, value: Any, path: Path, problems: list[Problem]) -> str | None:
    """That a fact is what the policy says; None, with the problem noted, where that cannot be."""
    fact = FACTS.get(name)
    if fact is None or fact.scope != "plan":
        known = {each: its for each, its in FACTS.items() if its.scope == "plan"}
        problems.append(Problem(f"`{name}` is no fact of the bench that holds throughout", path, None, _meant(name, known),
                                True))
        return None
    text = value.strip() if isinstance(value, str) else ""
    match fact.kind:
        case NumberKind(dimension=dimension):
            try:
                wanted, unit = parse_quantity(text, dimension), base_unit(dimension)
            except QuantityError as error:
                problems.append(Problem(error.message, path, None, error.suggestion))
                return None
            if wanted.high < 0 or -float("inf") < wanted.low < 0:
                problems.append(Problem(f"`{text}` goes below zero, and `{name}` never does", path))
                return None
            ends = ((">=", wanted.low), ("<=", wanted.high))
            return " and ".join(f"{name} {sign} {repr(end).removesuffix('.0')} {unit}" for sign, end in ends
                                if 0 <= end < float("inf"))
        case WordKind(words=words):
            if text in words:
                return f'{name} is "{text}"'
            problems.append(Problem(f"`{name}` is one of {listed(words)}", path, None, nearest(text, words)))
        case TruthKind():
            if text.lower() in YES | NO:
                return name if text.lower() in YES else f"not {name}"
            problems.append(Problem(f"`{name}` is `yes` or `no`", path))
    return None
