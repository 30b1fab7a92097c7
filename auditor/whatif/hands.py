"""What hands meet along every path of a plan, and what is left for whoever comes next: all that does not depend on time."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from auditor.bench.electrical.body import Shock
from auditor.bench.state import State
from auditor.bench.stored_charge import Held
from auditor.bench.touch import INSIDE, NOTHING
from auditor.plan.steps import Step
from auditor.whatif import contact
from auditor.whatif.charge import Charges, shocks
from auditor.whatif.harm import SHOCK, Harm
from auditor.whatif.moments import Moment, Moments, Way
from auditor.whatif.world import World

WITH_A_TOOL = frozenset({"discharge", "prove_dead"})
"""Steps that meet a charge with a tool made for it."""
LEAVES_THE_BENCH = frozenset({"after repair", "demonstration", "return to service"})
"""Purposes after which the set is used without the bench."""


IN_USE = "the set in use"
"""The part that whoever uses the set afterwards meets: a fault reaches that far only if it sets in before."""
BATTERIES = "batteries"
OPEN = frozenset({"back", "chassis"})
"""What leaves a set open while it is out."""


class Met(Struct, frozen=True):
    """A harm that a hand meets. way: the branch on which it does, None on the plan as written; place: at which of its
    moments, one past the last for what is left at the end."""

    harm: Harm
    way: Way | None
    place: int


Meeting = tuple[str, str, Shock, bool]
"""The part that a hand meets, what it meets there, how bad that is, and whether it only startles."""


def met(world: World, moments: Moments, charges: Charges) -> tuple[Met, ...]:
    """Everything that hands meet in this world, wherever a path may lead, should nobody stop before."""
    return tuple(_along_all(world, moments, charges, _Places(world, moments.states)))


def _along_all(world: World, moments: Moments, charges: Charges, places: _Places) -> Iterator[Met]:
    last = len(moments.main) - 1
    for index, moment in enumerate(moments.main):
        for number, way in enumerate(moments.ways.get(index, ())):
            reaches_in = any(moment.place == INSIDE for moment in way.moments)
            held = charges.way(index, number) if reaches_in else ()
            for k, there in enumerate(way.moments):
                for meeting in places.at(there, held[k] if reaches_in else {}):
                    yield Met(_harm(meeting, there, index, way.why), way, k)
            for meeting in places.left(way.moments[-1]):
                yield Met(_harm(meeting, None, index, way.why), way, len(way.moments))
        for meeting in places.at(moment, charges.main[index]):
            yield Met(_harm(meeting, moment, index, None), None, index)
    if last >= 0:
        for meeting in (*places.left(moments.main[last]), *_handed_on(world, moments.states[moments.main[last].state],
                                                                      charges.at_the_end)):
            yield Met(_harm(meeting, None, last, None), None, last + 1)


def _harm(meeting: Meeting, moment: Moment | None, index: int, why: str | None) -> Harm:
    part, says, shock, minor = meeting
    return Harm(SHOCK, part, says, moment.sample.step if moment is not None else None, index, why, shock, minor)


class _Places:
    """What a hand meets at a place in a state, worked out once for each."""

    def __init__(self, world: World, states: tuple[State, ...]) -> None:
        self.world, self.states = world, states
        self._known: dict[tuple[int, str], tuple[Meeting, ...]] = {}

    def at(self, moment: Moment, held: Held) -> Iterator[Meeting]:
        """At the place that the step touches, and on the cabinet."""
        yield from self._of(moment.state, moment.place)
        if moment.place == INSIDE and not _keeps_off_a_charge(moment.sample.step):
            for name, volts, shock in shocks(self.world.plan, held):
                yield name, f"{name} still holds up to {volts:.0f} V", shock, False

    def left(self, last: Moment) -> Iterator[Meeting]:
        """What whoever opens the set next meets, should power still be on it."""
        for part, _, shock, minor in self._of(last.state, INSIDE):
            if part == INSIDE:
                yield part, "the set is left with power on it", shock, minor

    def _of(self, state: int, place: str) -> tuple[Meeting, ...]:
        if (state, place) not in self._known:
            self._known[state, place] = tuple(_meetings(self.world, self.states[state], place))
        return self._known[state, place]


def _keeps_off_a_charge(step: Step) -> bool:
    """Whether the step meets a charge with a tool made for it, or only opens the set or takes its batteries out: the one
    way there is to its capacitors."""
    return step.verb in WITH_A_TOOL or (step.verb == "take_out" and step.what in OPEN | {BATTERIES})


def _meetings(world: World, state: State, place: str) -> Iterator[Meeting]:
    cabinet = contact.on_the_cabinet(world, state)
    if (shock := cabinet.shock) > Shock.NOTHING:
        says = (f"the chassis and all metal joined to it stand at up to {cabinet.voltage:.0f} V to earth: "
                f"{_amps(cabinet.current)} through a hand{_until(cabinet.time)}{_taking(cabinet)}")
        yield "the cabinet", says, shock, shock is Shock.STARTLES
    if place != NOTHING:
        here = contact.at_the_touch(world, state, place)
        if (shock := here.shock) > Shock.NOTHING:
            yield place, f"a hand at the {place} meets up to {here.voltage:.0f} V", shock, shock is Shock.STARTLES


def _handed_on(world: World, state: State, held: Held) -> Iterator[Meeting]:
    """What the plan as written leaves behind: charge, a back without its interlock, metal that a leak makes live in use."""
    for name, volts, shock in shocks(world.plan, held):
        yield name, f"{name} is left with up to {volts:.0f} V", shock, False
    if any(what == "interlock bypass" for what, _ in state.connected):
        yield "the interlock", "the interlock of the back is left bypassed: an open back is live", Shock.KILLS, False
    if world.plan.header.purpose not in LEAVES_THE_BENCH:
        return
    if state.out & OPEN:
        yield "the open set", "the set leaves the bench open, and is live inside when it is used", Shock.KILLS, False
    used = contact.in_use(world)
    if (shock := used.shock) > Shock.NOTHING:
        says = f"metal of the set stands at mains voltage when it is used again{_taking(used)}"
        yield IN_USE, says, shock, shock is Shock.STARTLES


def _until(time: float) -> str:
    return f", until the residual current device opens within {time:.2g} s" if time < contact.NO_TIME_LIMIT else ""


def _taking(here: contact.Contact) -> str:
    return f", {here.assumed}" if here.assumed else ""


def _amps(amperes: float) -> str:
    return f"{1e3 * amperes:.2g} mA" if amperes < 0.1 else f"{amperes:.2g} A"
