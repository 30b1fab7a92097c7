"""One set on one bench with one fault, and how the bench then stands: the same plan, seen with the fault in it."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from auditor.bench import circuit
from auditor.bench.state import State
from auditor.logic.interval import Interval
from auditor.logic.truth import Truth
from auditor.plan.plan import Plan
from auditor.whatif.fault import NO_EFFECT, Effect, Fault, HeatedPart

LAMP, ISOLATION, FUSES, EARTH, RESIDUAL, CHECKS = (
    "the lamp", "the isolating transformer", "the fuses", "the protective earth", "the residual current device",
    "what the plan has the operator check")
PROTECTIONS = (LAMP, ISOLATION, FUSES, EARTH, RESIDUAL, CHECKS)
"""What can contain a fault. To see which of them does, one at a time is taken away."""
MAINS_SIDE = ("plug", "primary", "set outlet", "mains to chassis", "mains to exposed metal")
"""Places on the supply itself, before any winding of the set."""
SEVERITIES = 4
"""Into how many exact values the range of a fault is split: a slight one is not to be judged by the sign of a grave one."""


class World(Struct, frozen=True):
    """A plan with a fault of one exact severity in it.

    starts: how long power has been on when the fault sets in [s]. eager: whether it acts already where it is open whether
    it can, as a short on B+ does while the rectifier may or may not conduct. slow: whether the steps take the longest or
    the shortest time that the plan leaves them. removed: those of PROTECTIONS that are taken away.
    """

    plan: Plan
    fault: Fault | None = None
    effect: Effect = NO_EFFECT
    starts: float = 0.0
    eager: bool = True
    slow: bool = True
    removed: frozenset[str] = frozenset()

    @property
    def heats(self) -> HeatedPart | None:
        """The part that the fault heats; None where it heats none."""
        return self.fault.heats if self.fault is not None else None

    def without(self, *protections: str) -> World:
        return replace(self, removed=frozenset(protections))

    def has(self, protection: str) -> bool:
        return protection not in self.removed


def worlds(plan: Plan, fault: Fault) -> tuple[World, ...]:
    """Every way in which the fault can be there: how grave, how soon, and at which pace the operator works.

    What can be seen of a fault and the harm that it does go together, so each way is played for itself.
    """
    timed = fault.starts.high > 0.0 or fault.signs.sensed_after.high > 0.0
    starts = tuple(dict.fromkeys((fault.starts.low, fault.starts.high)))
    return tuple(
        World(plan, fault, effect, start, eager, slow)
        for effect in severities(fault) for start in starts
        for eager in ((True, False) if fault.effect.at == "B+" else (True,))
        for slow in ((True, False) if timed else (True,)))


def severities(fault: Fault) -> tuple[Effect, ...]:
    """The effect with each of its ranges as a few exact values, from the least number to the greatest."""
    effects = [fault.effect]
    for field in ("short", "draws", "leaks"):
        effects = [exact for effect in effects for exact in _exact(effect, field)]
    return tuple(effects)


def _exact(effect: Effect, field: str) -> list[Effect]:
    stated: Interval | None = getattr(effect, field)
    if stated is None or stated.low == stated.high:
        return [effect]
    ratio = (stated.high / stated.low) ** (1 / (SEVERITIES - 1))
    return [effect.model_copy(update={field: Interval.exactly(stated.low * ratio ** k)}) for k in range(SEVERITIES)]


def seen(world: World, state: State) -> State:
    """The state as the fault makes it: a limiter that limits nothing, a switch that stays closed, one switched on."""
    effect = world.effect
    on = {switch for switch in (effect.stays_closed, effect.switched_on) if switch is not None}
    if on - state.on:
        state = replace(state, on=state.on | on)
    if (effect.lamp is not None or not world.has(LAMP)) and world.plan.has("limiter") and state.lamp is not None:
        state = replace(state, bypass_closed=Truth.TRUE)
    return state


def isolates(world: World, state: State) -> bool:
    """Whether the set's supply surely has no way to earth, so that one hand on it closes no circuit.

    Behind an isolating transformer that nothing bridges, whose output is not earthed, or a supply of direct current whose
    output is isolated, and with nothing else on its output that may be. What joins a hot chassis to earth holds the
    chassis there, and lets the rest of the set shock: that is judged where a hand goes inside.
    """
    plan = world.plan
    if circuit.isolated(plan) is not Truth.TRUE or world.effect.isolation is not None or not world.has(ISOLATION):
        return False
    transformer = plan.record("isolating_transformer")
    if transformer is not None and Truth.stated(transformer.output_earthed) is not Truth.FALSE:
        return False
    if any(circuit.joins_to_earth(instrument) is not Truth.FALSE for instrument in plan.bench.instruments or ()
           if (state.clipped | state.connected) & {(instrument.name, place) for place in MAINS_SIDE}):
        return False
    behind = plan.position("isolating_transformer") or plan.position("direct_current_supply") or 0
    others = any(element.kind == "other_load" and element.index > behind for element in plan.chain)
    return not others and not any(what == "second device" for what, _ in state.connected)


def bonded(world: World) -> bool:
    """Whether the chassis is surely joined to a protective earth that carries current."""
    return (world.plan.set.earth == "bonded" and world.plan.mains.earth == "present" and world.effect.earth is None
            and world.has(EARTH))


def attended(world: World, step: object) -> bool:
    """Whether somebody surely watches during the step."""
    said = getattr(step, "attended", None)
    if said is not None:
        return bool(said)
    people = world.plan.bench.people
    return people is not None and people.attended == "throughout"
