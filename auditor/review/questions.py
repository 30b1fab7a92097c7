"""What to ask the author: the lines that would state a fact, and how to word the question."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from auditor.bench.fact import Item
from auditor.bench.facts import FACTS
from auditor.bench.item_facts import LISTS
from auditor.plan.chain import Limiter
from auditor.plan.place import Path
from auditor.plan.plan import Plan
from auditor.review.finding import Finding, Missing, Question

LINES = {
    "procedure.purpose": ("what is the procedure for", "purpose: first power-up   # or: after repair, return to service"),
    "procedure.date": ("on which day will it be done", "date: 2026-11-20"),
    "mains.voltage": ("what is the nominal voltage at the wall", "voltage: 120 V"),
    "mains.frequency": ("what is the frequency of the mains", "frequency: 60 Hz   # or: 50 Hz"),
    "mains.earth": ("does the outlet have protective earth", "earth: present   # or: absent"),
    "mains.residual_current_device": ("at what current does the residual current device trip",
                                      "residual_current_device: 6 mA"),
    "set.power_supply": ("how does the set make its supply", "power_supply: transformer   # or: transformerless, switching"),
    "set.made_for": ("for which kind of mains is the set made, as its plate says",
                     "made_for: either   # or: alternating current, direct current"),
    "set.frequency": ("for which frequency are its transformer and its motor made, as its plate says",
                      "frequency: 50 or 60 Hz   # or: 60 Hz, 50 Hz, 25 Hz, any"),
    "set.mains_tap": ("at which voltage does its mains selector or tap stand", "mains_tap: 120 V   # or: none"),
    "set.motor": ("does the set have a motor on the mains", "motor: no"),
    "set.motor_power": ("what does its motor draw, turning", "motor_power: 10..14 W"),
    "set.chassis": ("can metal of the set be joined to one side of the mains", "chassis: hot   # or: isolated"),
    "set.common": ("is the negative line joined to the chassis", "common: floating from chassis"),
    "set.earth": ("is protective earth joined to the chassis", "earth: floating   # or: bonded"),
    "set.rated_voltage": ("what mains voltage is on the plate", "rated_voltage: 117 V"),
    "set.rated_power": ("what does the set draw when it is well", "rated_power: 28..35 W"),
    "set.fuse": ("what fuse has the set in its mains line", "fuse: {rating: 1 A, kind: slow}   # or: none"),
    "set.fuse.rating": ("what is marked on the fuse", "rating: 1 A"),
    "set.fuse.kind": ("is the fuse slow or fast", "kind: slow"),
    "set.rectifier.kind": ("what rectifies", "kind: tube   # or: silicon, selenium"),
    "set.filter": ("does the rectifier feed a capacitor or a choke", "filter: capacitor input   # or: choke input"),
    "set.heaters.connection": ("how are the heaters fed", "connection: series   # or: parallel"),
    "set.B+": ("what is B+ at full mains voltage", "B+: 90..130 V"),
    "set.B+_peak": ("how high can B+ go with no load on it", "B+_peak: 178 V"),
    "set.B+_resistance": ("what resistance does the circuit diagram give from B+ to its return",
                          "B+_resistance: 20 kohm"),
    "set.rectifier.heater": ("is the rectifier tube directly or indirectly heated", "heater: indirect   # or: direct"),
    "set.plug.polarised": ("does the plug fit one way round only", "polarised: yes"),
    "set.plug.neutral_to": ("what does the neutral pin reach inside the set", "neutral_to: common"),
    "set.plug_resistance": ("what resistance is usual across the plug, switch on", "plug_resistance: 80..200 ohm"),
    "set.switch": ("which line does the switch of the set break", "switch: in the live line"),
    "set.output": ("what drives the loudspeaker", "output: tube   # or: transistor, none"),
    "set.speaker": ("is the loudspeaker connected", "speaker: connected"),
    "set.interlock": ("does the back have an interlock", "interlock: none"),
    "set.aerial": ("is an aerial connected", "aerial: disconnected"),
    "set.earth_lead": ("is an earth lead connected", "earth_lead: disconnected"),
    "set.idle_for": ("how long has the set had no power", "idle_for: 30 days"),
    "set.coupling_capacitors": ("are the capacitors before the output tubes new, tested or original",
                                "coupling_capacitors: new   # or: tested, original, none"),
    "set.buffer_capacitor": ("is the capacitor across the vibrator transformer new, tested or original",
                             "buffer_capacitor: new"),
    "set.special_parts": ("which parts has it that ask for care of their own, such as a picture tube or a resistor cord",
                          "special_parts: none   # or: [picture tube, fixed bias], as the README lists them"),
    "set.complete": ("are all capacitors and special parts listed", "complete: yes"),
    "bench.complete": ("are all instruments listed", "complete: yes"),
    "bench.people.second_person": ("who else is there", "second_person: within call"),
    "bench.people.attended": ("does somebody watch all the time", "attended: throughout"),
    "bench.people.eye_protection": ("are eyes protected", "eye_protection: yes"),
    "bench.people.knows_the_switch": ("does the second person know how to cut the power", "knows_the_switch: yes"),
    "bench.people.extinguisher": ("which fire extinguisher is within reach",
                                  "extinguisher: carbon dioxide   # or: dry powder"),
    "bench.aired": ("is the room aired while the set has volts", "aired: yes"),
    "bench.chain.outlet.switch": ("has the outlet a switch", "switch: ordinary   # or: emergency, none"),
    "bench.chain.outlet.within_reach": ("can the outlet's switch be reached without leaning over the set",
                                        "within_reach: yes"),
    "bench.chain.isolating_transformer.output_earthed": ("is the output of the isolating transformer earthed",
                                                         "output_earthed: no"),
    "bench.chain.isolating_transformer.rated_power": ("what is the isolating transformer rated for",
                                                      "rated_power: 300 W"),
    "bench.chain.isolating_transformer.frequency": ("for which frequency is the isolating transformer made",
                                                    "frequency: 50 or 60 Hz"),
    "bench.chain.autotransformer.frequency": ("for which frequency is the autotransformer made",
                                              "frequency: 50 or 60 Hz"),
    "bench.chain.autotransformer.output": ("how far does the scale of the dial go", "output: 0..140 V"),
    "bench.chain.autotransformer.rated_current": ("what current may the brush carry", "rated_current: 3 A"),
    "bench.chain.autotransformer.fuse": ("what fuse is in the output of the autotransformer", "fuse: 3 A"),
    "bench.chain.direct_current_supply.isolated": ("is the output of the direct current supply separate from its mains",
                                                   "isolated: yes"),
    "bench.chain.direct_current_supply.output": ("how far does the scale of the direct current supply go",
                                                 "output: 0..250 V"),
    "bench.chain.direct_current_supply.rated_current": ("what current may the direct current supply give",
                                                        "rated_current: 1 A"),
    "bench.chain.direct_current_supply.fuse": ("what fuse is in the output of the direct current supply", "fuse: 1 A"),
    "bench.chain.limiter.bypass": ("how does the bypass of the limiter stand at the start", "bypass: open   # or: none"),
    "bench.chain.limiter.lamp.power": ("what is the power of the lamp", "power: 40 W"),
    "bench.chain.limiter.lamp.joined": ("how are the lamps joined", "joined: in parallel   # or: in series"),
    "bench.chain.limiter.lamp.voltage": ("what voltage is the lamp made for", "voltage: 120 V"),
    "bench.chain.limiter.lamp.kind": ("what kind of lamp is it", "kind: clear filament"),
    "set.filter_capacitors[].capacitance": ("what is its capacitance", "capacitance: 40 uF"),
    "set.filter_capacitors[].working_voltage": ("what working voltage is marked on it", "working_voltage: 250 V"),
    "set.filter_capacitors[].condition": ("is it new, tested, reformed or original", "condition: new"),
    "set.line_capacitors[].between": ("what does it join", "between: line and line"),
    "set.line_capacitors[].capacitance": ("what is its capacitance", "capacitance: 4.7 nF"),
    "set.line_capacitors[].class": ("what is its class", "class: X2"),
    "bench.instruments[].kind": ("what is it", "kind: multimeter"),
    "bench.instruments[].earthed": ("is it earthed", "earthed: no"),
    "bench.instruments[].earth_lifted": ("has its protective earth been opened", "earth_lifted: no"),
    "bench.instruments[].supply": ("what does it run from", "supply: battery"),
    "bench.instruments[].differential_probe": ("does it look through a differential probe", "differential_probe: yes"),
    "bench.instruments[].category": ("what is its measurement category", "category: CAT III 600 V"),
}
"""For each line of a plan that a rule may miss: the question, and the line to add."""

ONLY_WHERE: dict[str, Callable[[Plan], bool]] = {
    "set.motor_power": lambda plan: plan.set.motor is True,
    "bench.chain.limiter.lamp.joined": lambda plan: _several(plan.record("limiter")),
}
"""For lines that mean something only beside others: whether the plan has these."""


def _several(limiter: Limiter | None) -> bool:
    """Whether several lamps sit in the limiter."""
    return limiter is not None and limiter.lamp is not None and len(limiter.lamp.each) > 1


def missing(plan: Plan, names: Iterable[str], item: Item | None) -> tuple[Missing, ...]:
    """The lines that the plan does not have and that would state these facts, each once."""
    found: dict[str, Missing] = {}
    for name in sorted(names):
        for ask in FACTS[name].asks:
            if not _could_be_said(plan, ask):
                continue
            if item is not None and item.record is None and "[]" in ask:
                ask = LISTS[item.kind][1]
            path = resolved(plan, ask, item)
            shown = ask.replace("[]", f" {item.name}") if item else ask
            if not plan.source.states(path) and shown not in found:
                asks, line = LINES[ask]
                found[shown] = Missing(shown, asks, line, plan.source.place(path))
    if item is not None and item.record is None and not found:
        shown = LISTS[item.kind][1]
        found[shown] = Missing(shown, *LINES[shown], plan.source.place(resolved(plan, shown, None)))
    return tuple(found.values())


def _could_be_said(plan: Plan, ask: str) -> bool:
    """Whether the plan has the element of the chain, or the part, that the line would stand in."""
    parts = ask.split(".")
    if ask in ONLY_WHERE and not ONLY_WHERE[ask](plan):
        return False
    if parts[:2] == ["bench", "chain"]:
        return plan.has(parts[2])
    parent = ".".join(parts[:-1])
    return parent not in LINES or plan.source.states(tuple(parts[:-1]))


def resolved(plan: Plan, ask: str, item: Item | None) -> Path:
    """A dotted ask as a path in this plan: elements of the chain found by kind, items by their index."""
    path: list[str | int] = []
    parts = ask.split(".")
    if parts[:2] == ["bench", "chain"]:
        position = plan.position(parts[2])
        path = ["bench", "chain", *([position] if position is not None else [])]
        parts = parts[2:]
    for part in parts:
        if part.endswith("[]"):
            path += [part[:-2], item.index if item else 0]
        else:
            path.append(part)
    return tuple(path)


def ranked(findings: Iterable[Finding]) -> tuple[Question, ...]:
    """The missing facts, those that decide most rules first."""
    rules: dict[str, list[str]] = {}
    facts: dict[str, Missing] = {}
    for finding in findings:
        for fact in finding.missing:
            facts.setdefault(fact.path, fact)
            if finding.rule not in rules.setdefault(fact.path, []):
                rules[fact.path].append(finding.rule)
    order = sorted(facts, key=lambda path: (-len(rules[path]), path))
    return tuple(Question(facts[path], tuple(rules[path])) for path in order)
