"""Text to plan: reading, checking, and every problem reported with its place."""

from __future__ import annotations

from typing import Any

from msgspec.structs import replace

from auditor.plan.card import SHARED_PARTS, Card, Finder, find_card, merged, no_cards
from auditor.plan.chain import ELEMENTS, AcceptedRisk, Bench, Header, Mains, SignOff, StopRule
from auditor.plan.equipment import Set
from auditor.plan.nearest import nearest
from auditor.plan.place import Path
from auditor.plan.plan import Element, Plan, Source
from auditor.plan.problems import Problem, Unreadable
from auditor.plan.read_steps import StepReader
from auditor.plan.reading import Reading
from auditor.plan.spelling import tidy
from auditor.plan.stages import expand
from auditor.plan.values import listed
from auditor.plan.words import one_spelling
from auditor.plan.yaml_text import parse_yaml

NAMED = (("bench", "instruments"), ("set", "filter_capacitors"), ("set", "line_capacitors"))
"""The lists whose items have names that steps use."""
REGISTER = ("bench", "register")
"""A list of which the length alone is looked at here; it names things that have their names elsewhere."""
MOST_LISTED = 100
"""Instruments, things on the register, or capacitors of one list; every rule about them is asked of each, so this bounds
the work."""
ONE_OF_EACH = frozenset({"outlet", "isolating_transformer", "autotransformer", "direct_current_supply", "limiter"})
PARTS = ("card", "procedure", "mains", "set", "bench", "stop", "steps", "accepted_risks", "signed_off")


def read_plan(text: str, *, first_line: int = 1, first_column: int | tuple[int, ...] = 1,
              cards: Finder = no_cards) -> Plan:
    """The plan that the text holds, with the bench card that it names.

    first_line, first_column: where the text begins in its file, for a plan inside a page.
    cards: finds the bytes of a card file by its name.
    Raises Unreadable with every problem found, each with its place.
    """
    document = parse_yaml(text, first_line=first_line, first_column=first_column)
    data, written, problems = tidy(document.data)
    if not isinstance(data, dict) or not (data.get("procedure") or data.get("steps")):
        place = document.place(())
        raise Unreadable((Problem("this is not a plan: a plan has the parts `procedure`, `set`, `bench` and `steps`",
                                  place=place),))
    card, unfound = _card(data, cards)
    whole = {**data, **{part: merged(data.get(part), card.data.get(part)) for part in SHARED_PARTS}} \
        if card else data
    doubled = (replace(p, place=document.place(p.path, key=p.at_key)) for p in problems)
    reading = Reading(Source(document, data, written, card), [*doubled, *unfound])
    plan = plan_of(whole, reading)
    if plan is None:
        raise Unreadable(reading.placed())
    return plan


def _card(data: dict[str, Any], cards: Finder) -> tuple[Card | None, list[Problem]]:
    if data.get("card") is None:
        return None, []
    try:
        return find_card(data["card"], cards), []
    except Unreadable as error:
        return None, [Problem(p.message, ("card",), None, p.suggestion) for p in error.problems]


def plan_of(data: dict[str, Any], reading: Reading) -> Plan | None:
    """The plan out of its data, with its card merged in; None, the problems noted, where anything in it is one."""
    for key in data:
        if key not in PARTS:
            reading.refuse(f"a plan has no part `{key}`; it has {listed(PARTS)}", (key,), nearest(key, PARTS),
                           at_key=True)
    bench_data, chain_data = _split(data.get("bench") or {}, "chain")
    stop_data, then = _split(data.get("stop") or {}, "then")
    chain = _chain(chain_data, reading)
    header = reading.record(Header, data.get("procedure") or {}, ("procedure",))
    mains = reading.record(Mains, data.get("mains") or {}, ("mains",))
    the_set = reading.record(Set, data.get("set") or {}, ("set",))
    bench = reading.record(Bench, bench_data, ("bench",))
    stop = reading.record(StopRule, stop_data, ("stop",))
    risks = [reading.record(AcceptedRisk, item, ("accepted_risks", i)) for i, item in
             enumerate(reading.items(data.get("accepted_risks"), ("accepted_risks",)))]
    signed_off = reading.record(SignOff, data["signed_off"], ("signed_off",)) if data.get("signed_off") is not None else None
    card = reading.source.card
    # A card that could not be read is one problem, not one more for every sequence of it that is called.
    reader = StepReader(reading, *_names(data, reading),
                        card.data.get("sequences") or {} if card else None if "card" in data else {})
    stop_then = reader.steps(then, ("stop", "then"))
    steps, unexpanded = expand(reader.steps(data.get("steps"), ("steps",)))
    reading.problems.extend(unexpanded)
    if reading.problems or header is None or mains is None or the_set is None or bench is None or stop is None:
        return None
    return Plan(reading.source, header, mains, the_set, bench, chain, steps, stop.when or (), stop_then, stop.again,
                tuple(risk for risk in risks if risk is not None), signed_off)


def _names(data: dict[str, Any], reading: Reading) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The names of instruments and filter capacitors, which have to differ, and those of all capacitors."""
    found: list[tuple[str, str]] = []
    for part, key in (*NAMED, REGISTER):
        owner = data.get(part)
        there = owner.get(key) if isinstance(owner, dict) else None
        items = there if isinstance(there, list) else []
        if len(items) > MOST_LISTED:
            reading.refuse(f"more than {MOST_LISTED} are listed here", (part, key), "write two procedures")
        for i, item in enumerate(items[:MOST_LISTED] if (part, key) != REGISTER else []):
            name = item.get("name") if isinstance(item, dict) else None
            if not isinstance(name, str):
                continue
            if any(name == other for _, other in found):
                reading.refuse(f"two things are called `{name}`", (part, key, i, "name"), "give each a name of its own")
            found.append((key, name))
    return (tuple(name for key, name in found if key != "line_capacitors"),
            tuple(name for key, name in found if key != "instruments"))


def _split(data: Any, key: str) -> tuple[Any, Any]:
    """A part without one of its keys, and the list under that key."""
    if not isinstance(data, dict):
        return data, None
    return {k: v for k, v in data.items() if k != key}, data.get(key)


def _chain(data: Any, reading: Reading) -> tuple[Element, ...]:
    elements: list[Element] = []
    for i, item in enumerate(reading.items(data, ("bench", "chain"))):
        path: Path = ("bench", "chain", i)
        name, value = next(iter(item.items())) if isinstance(item, dict) and len(item) == 1 else (item, {})
        if not isinstance(name, str):
            reading.refuse("an element of the chain is one name with its properties, "
                           "as in `- outlet: {switch: emergency}`", path)
            continue
        kind = one_spelling(name).replace(" ", "_")
        if kind not in ELEMENTS:
            known = tuple(ELEMENTS)
            reading.refuse(f"`{name}` is not an element of a bench chain; known are {listed(known)}", path,
                           nearest(kind, known), at_key=True)
            continue
        record = reading.record(ELEMENTS[kind], value or {}, (*path, name))
        if record is not None:
            elements.append(Element(kind, record, i))
    kinds = [element.kind for element in elements]
    for i, element in enumerate(elements):
        if element.kind in ONE_OF_EACH and element.kind in kinds[:i]:
            reading.refuse(f"the chain has a second `{element.kind}`; one of each is replayed",
                           ("bench", "chain", element.index), "describe the one that the set is fed through")
    if "direct_current_supply" in kinds:
        direct = kinds.index("direct_current_supply")
        for element in elements:
            if element.kind == "autotransformer":
                reading.refuse("the chain has two dials, `autotransformer` and `direct_current_supply`; one is replayed",
                               ("bench", "chain", element.index), "describe the one that is turned")
            if element.kind == "isolating_transformer" and element.index > elements[direct].index:
                reading.refuse("a supply of direct current feeds this transformer, which passes none of it and burns",
                               ("bench", "chain", element.index), "put the transformer before the supply, or take it out")
    if data and (not elements or elements[-1].kind != "set"):
        reading.refuse("a bench chain goes from the wall to the set, so it ends with `- set`", ("bench", "chain"))
    return tuple(elements)
