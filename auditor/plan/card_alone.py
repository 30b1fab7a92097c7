"""A bench card read by itself: its bench with any set on it, and the steps of its sequences as far as a card says them."""

from __future__ import annotations

from datetime import date
from typing import Any

from auditor.plan.card import SHARED_PARTS, card_of
from auditor.plan.nearest import nearest
from auditor.plan.place import Path
from auditor.plan.plan import Plan, Source
from auditor.plan.problems import Unreadable
from auditor.plan.read import plan_of
from auditor.plan.read_steps import DEEPEST_SEQUENCE, DO, StepReader
from auditor.plan.reading import Reading
from auditor.plan.values import listed
from auditor.plan.words import one_key

BARE_POWER = ({"set_dial": "0 V"}, {"plug_in": "set"}, {"switch_on": "outlet"}, {"switch_on": "set"}, {"set_dial": "60 V"})
"""The steps of the shortest attempt, with which a card is played: rules that speak of the bench alone can then be judged."""


def read_card(source: bytes, file: str, today: date) -> Plan:
    """The card as a plan of this day that gives some set power.

    Raises Unreadable with every problem, each with its place in the card.
    """
    card = card_of(source, file)
    reading = Reading(Source(card.document, card.data, card.written, card))
    title = card.data.get("title") or file
    whole = {**{part: card.data.get(part) for part in SHARED_PARTS}, "steps": list(BARE_POWER),
             "procedure": {"title": f"{title}, the card by itself", "date": today.isoformat()}}
    plan = plan_of(whole, reading)
    _check_sequences(card.data.get("sequences") or {}, reading, whole)
    if plan is None or reading.problems:
        raise Unreadable(reading.placed())
    return plan


def _check_sequences(sequences: dict[str, Any], reading: Reading, whole: dict[str, Any]) -> None:
    """Note what is wrong with the steps of the sequences, apart from what a plan has to fill in."""
    bench = whole["bench"] if isinstance(whole["bench"], dict) else {}
    instruments = bench.get("instruments")
    names = tuple(item["name"] for item in instruments if isinstance(item, dict) and isinstance(item.get("name"), str)) \
        if isinstance(instruments, list) else ()
    reader = StepReader(reading, names, (), sequences, completed_by_plans=True)
    for name, steps in sequences.items():
        for i, item in enumerate(reading.items(steps, ("sequences", name))):
            path: Path = ("sequences", name, i)
            if not (isinstance(item, dict) and DO in item):
                reader.read(item, path, i + 1)
            elif not isinstance(item[DO], str) or one_key(item[DO]) not in sequences:
                known = tuple(sequences)
                reading.refuse(f"the card has no sequence `{item[DO]}`; it has {listed(known)}", (*path, DO),
                               nearest(str(item[DO]), known))
    for name, depth in _depths(sequences).items():
        if depth > DEEPEST_SEQUENCE:
            reading.refuse(f"sequences call one another more than {DEEPEST_SEQUENCE} deep, or in a circle",
                           ("sequences", name))


def _depths(sequences: dict[str, Any]) -> dict[str, int]:
    """How deep each sequence calls others; whatever is deeper than allowed, or has no end, is one more than that."""
    calls = {name: [one_key(item[DO]) for item in steps if isinstance(item, dict) and isinstance(item.get(DO), str)]
             if isinstance(steps, list) else [] for name, steps in sequences.items()}
    depths = dict.fromkeys(calls, 1)
    for _ in range(DEEPEST_SEQUENCE):
        depths = {name: 1 + max((depths[called] for called in called_ones if called in depths), default=0)
                  for name, called_ones in calls.items()}
    return depths
