"""Small plans, faults and worlds for the tests of the fault simulation, and the bench as a plan leaves it."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from msgspec.structs import replace

from auditor.bench.facts import replayed
from auditor.bench.state import State
from auditor.bench.trace import replay
from auditor.plan.plan import Plan
from auditor.plan.read import read_plan
from auditor.whatif.catalogue import Entry, compile_faults
from auditor.whatif.course import Course, Rehearsal
from auditor.whatif.fault import Effect
from auditor.whatif.moments import moments
from auditor.whatif.whatif import Outcome, Trial, WhatIf, tried, what_if
from auditor.whatif.world import World
from tests.plan_text import as_text

Stated = Mapping[str, Any]
TRANSFORMER_SET: Stated = {
    "power_supply": "transformer", "motor": "no", "chassis": "isolated", "common": "joined to chassis", "earth": "floating",
    "rated_voltage": "120 V", "rated_power": "50 W", "switch": "in the live line", "output": "tube", "fuse": "none",
    "filter_capacitors": [{"name": "C0", "capacitance": "1 uF", "peak_voltage": "20 V"}],
    "line_capacitors": [], "idle_for": "30 days", "complete": "yes",
}
"""A set whose metal nothing joins to the mains, with no charge that could be felt."""
HOT_SET: Stated = {
    **TRANSFORMER_SET, "power_supply": "transformerless", "chassis": "hot",
    "plug": {"pins": "2", "polarised": "no", "neutral_to": "either way round"},
}
"""A set whose chassis is one side of the mains, either of the two."""
ON_NEUTRAL: Stated = {**HOT_SET, "plug": {"pins": "2", "polarised": "yes", "neutral_to": "chassis"}}
"""The same with a plug that fits in one way only, so that the chassis is on the neutral."""
ISOLATION = {"isolating_transformer": {"rated_power": "300 W", "output_earthed": "no"}}
LAMP = {"limiter": {"lamp": {"power": "60 W", "voltage": "120 V", "kind": "clear filament"}, "bypass": "open"}}
WALL: Sequence[Any] = ({"outlet": {"switch": "ordinary"}}, {"autotransformer": {"output": "0..140 V"}}, "set")
"""From the wall through the dial to the set."""
METERS: Sequence[Any] = (*WALL[:-1], {"ammeter": {"range": "0..5 A"}}, {"voltmeter": {"range": "0..200 V"}}, "set")
"""The same with an ammeter, and a meter at the set."""
ISOLATED: Sequence[Any] = (WALL[0], ISOLATION, *WALL[1:])
"""The same behind an isolating transformer."""
MAINS: Stated = {"voltage": "120 V", "frequency": "60 Hz", "earth": "present"}
OFF: Sequence[Any] = ({"switch_off": "outlet"}, {"unplug": "set"})
UP = ("set_dial: 0 V", "plug_in: set", "switch_on: outlet", "switch_on: set", "set_dial: 120 V")
"""Until the set is on, at 120 V on the dial."""
DOWN = ("switch_off: set", "set_dial: 0 V", "switch_off: outlet", "unplug: set")
SHORT: Stated = {"effect": {"short": "0.5 ohm"}}
FIRE: Stated = {"part": "the shorted part", "stands": "10 W", "before": "60 s", "ends_in": "fire",
                "sources": ["common practice"]}
"""What a part stands that burns after a minute of ten watts, or the sooner the more it gets."""


def a_plan(*steps: str, the_set: Stated = TRANSFORMER_SET, chain: Sequence[Any] = WALL, mains: Stated = MAINS,
           attended: str = "throughout", stop: Sequence[str] = (), then: Sequence[Any] = OFF, purpose: str = "",
           instruments: Sequence[str] = ()) -> Plan:
    """A plan with these steps. stop: conditions for a stop; then: what is done at one; attended: who watches."""
    header = {"title": "A small plan of the Millrace Valley Wireless Society", **({"purpose": purpose} if purpose else {})}
    bench = {"chain": list(chain), "instruments": [{"name": name, "kind": "multimeter"} for name in instruments],
             "people": {"attended": attended}, "complete": "yes"}
    data = {"procedure": header, "mains": dict(mains), "set": dict(the_set), "bench": bench,
            **({"stop": {"if": list(stop), "then": list(then)}} if stop else {})}
    return read_plan(as_text(data) + "steps:\n" + "".join(f"  - {step}\n" for step in steps))


def a_fault(**stated: Any) -> Entry:
    """A fault that is so stated; all else is as in every fault of the tests."""
    fault = {"fault": "something-is-wrong", "says": "something is wrong", "kind": "of the set", "harm": "It does harm.",
             "sources": ["common practice"], **stated}
    return compile_faults(json.dumps({"topic": "faults for a test", "faults": [fault]}).encode())[0]


def a_world(plan: Plan, **stated: Any) -> World:
    """The plan with a fault, so stated, of one exact severity in it."""
    entry = a_fault(**stated)
    return World(plan, entry.fault, entry.fault.effect)


def with_effect(plan: Plan, **effect: Any) -> World:
    """The plan with something on the bench changed."""
    return World(plan, None, Effect.model_validate(effect))


def left_by(plan: Plan) -> State:
    """The bench as the steps of a plan leave it."""
    return replay(plan).main[-1].state


def course(world: World, **otherwise: Any) -> Course:
    """What happens in this world. otherwise: fields of the world that are otherwise."""
    return Rehearsal(moments(world.plan)).play(replace(world, **otherwise))


def harms_of(found: Course) -> set[tuple[str, str]]:
    """What is done in a course to which part."""
    return {(harm.hazard, harm.part) for harm in found.harms}


def outcome(plan: Plan, **stated: Any) -> Outcome:
    """What a plan makes of a fault that is so stated."""
    return tried(Trial(replayed(plan)), a_fault(**stated))


def of_all(plan: Plan, *faults: Entry) -> WhatIf:
    """What a plan makes of these faults, and of none."""
    return what_if(replayed(plan), faults)


