"""Facts that are the same at every step: the set, the mains, the bench, the stop rules."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from auditor.bench import stop_conditions
from auditor.bench.circuit import direct_current, isolated, wall
from auditor.bench.fact import NO_CEILING, TRUTH, Fact, PlanReader, number, quantity, stated, words
from auditor.bench.special_parts import PARTS_LISTED, has_part
from auditor.logic.interval import ANYTHING, Interval
from auditor.logic.kinds import Kind
from auditor.logic.truth import Truth
from auditor.plan import chain, equipment
from auditor.plan.fingerprint import plan_fingerprint
from auditor.plan.plan import Plan

IRON = ("isolating_transformer", "autotransformer")
LONG_AGO = Interval.exactly(1e9)
DAY = 86400.0


def _plan(name: str, kind: Kind, meaning: str, read: PlanReader, *asks: str) -> Fact:
    return Fact(name, kind, meaning, "plan", read, asks)


def _set(field: str, kind: Kind, meaning: str, *, called: str | None = None, asks: str | None = None) -> Fact:
    """A property of the set, read where it is stated; a dot leads into a part (`fuse.rating`)."""
    parts = field.split(".")

    def read(plan: Plan) -> Any:
        here: Any = plan.set
        for part in parts:
            here = getattr(here, part) if here is not None else None
        return stated(kind, here)

    return Fact(f"set.{called or field.replace('.', '_')}", kind, meaning, "plan", read,
                (f"set.{asks or field}",))


def _has(name: str, meaning: str, *parts: str) -> Fact:
    """Whether the set has one of these special parts."""
    return Fact(f"set.{name}", TRUTH, meaning, "plan", lambda plan: has_part(plan, *parts), PARTS_LISTED)


def _voltmeter_at_set(plan: Plan) -> Truth:
    """A voltmeter in the chain that sees what the set gets: after the limiter, before the set."""
    limiter, the_set = plan.position("limiter"), plan.position("set")
    return Truth.of(the_set is not None and any(
        e.kind == "voltmeter" and (limiter if limiter is not None else -1) < e.index < the_set for e in plan.chain))


def _before(plan: Plan, first: str, second: str) -> Truth:
    one, two = plan.position(first), plan.position(second)
    return Truth.of(one is not None and (two is None or one < two))


def _relies_on_residual_current(plan: Plan) -> Truth:
    listed = " ".join(plan.bench.relies_on or ()).lower()
    return Truth.of(any(word in listed for word in ("residual", "rcd", "gfci", "earth leakage")))


def _relies_on_dial_or_lamp(plan: Plan) -> Truth:
    return Truth.of(any(word in thing.lower() and "isolating" not in thing.lower() for thing in plan.bench.relies_on or ()
                        for word in ("autotransformer", "dial", "lamp", "limiter", "fuse")))


def _residual_current(plan: Plan) -> Interval:
    """The current at which the residual current device trips [A]; where there are two, that of the chain."""
    record = plan.record("residual_current_device")
    return number(record.trips_at if record and record.trips_at else plan.mains.residual_current_device)


def _of(kind: str, field: str) -> Callable[[Plan], Any]:
    """A stated property of an element of the chain; not stated where the chain has no such element."""
    def read(plan: Plan) -> Any:
        record = plan.record(kind)
        return getattr(record, field) if record is not None else None
    return read


def _gives(plan: Plan) -> str:
    """Direct current behind a supply of it, else what the mains are, which alternate where the plan does not say."""
    return equipment.CURRENTS[direct_current(plan)]


def _isolates_itself(plan: Plan) -> bool:
    """Whether a supply of direct current stands in place of an isolating transformer."""
    return plan.has("direct_current_supply") and not plan.has("isolating_transformer")


def _of_dial(field: str) -> Callable[[Plan], Any]:
    """A stated property of the element that has the dial."""
    def read(plan: Plan) -> Any:
        return getattr(plan.record(plan.dial), field) if plan.dial is not None else None
    return read


def _days_since(proof: chain.Proof | None, plan: Plan) -> Interval:
    if proof is None:
        return LONG_AGO
    if plan.header.date is None:
        return ANYTHING
    return Interval.exactly(abs((plan.header.date - proof.on).days) * DAY) \
        if plan.header.date >= proof.on else LONG_AGO


def _proof(kind: str, field: str) -> PlanReader:
    def read(plan: Plan) -> Interval:
        record = plan.record(kind)
        return _days_since(getattr(record, field) if record is not None else None, plan)
    return read


def _running_current(plan: Plan) -> Interval:
    """Rated power over rated voltage [A]: the least that the set can draw."""
    power, volts = plan.set.rated_power, plan.set.rated_voltage
    return ANYTHING if power is None or volts is None else power / volts


def _b_plus_capacitors(plan: Plan) -> Truth:
    """Whether a listed capacitor stands at B+: one that states no other voltage, or a row that shares B+ among it."""
    listed = plan.set.filter_capacitors or ()
    shares = [c.peak_voltage for c in listed if c.peak_voltage is not None]
    if len(shares) < len(listed):
        return Truth.TRUE
    together = sum(shares, Interval.exactly(0.0))
    reached = together.at_least(number(plan.set.b_plus)) if shares else Truth.FALSE
    return reached if plan.set.complete else reached | Truth.UNKNOWN


def _rectifier(plan: Plan) -> str | None:
    if plan.set.power_supply == equipment.HEATERS_ONLY:
        return "none"
    return plan.set.rectifier.kind if plan.set.rectifier is not None else None


def _bound(field: str, end: str) -> PlanReader:
    """One end of a stated range as an exact number; 0 or NO_CEILING where the range is open there."""
    def read(plan: Plan) -> Interval:
        found: Interval | None = getattr(plan.set, field)
        if found is None:
            return ANYTHING
        return Interval.exactly(max(found.low, 0.0) if end == "from" else min(found.high, NO_CEILING))
    return read


def _outlet_switched(plan: Plan) -> Truth:
    outlet = plan.record("outlet")
    if outlet is None:
        return Truth.FALSE
    return Truth.UNKNOWN if outlet.switch is None else Truth.of(outlet.switch != "none")


def _dial_top(plan: Plan) -> Interval:
    """The last mark of the dial, moved with the wall [V]."""
    output, nominal = _of_dial("output")(plan), plan.mains.voltage
    if output is None or nominal is None:
        return ANYTHING
    return Interval.exactly(output.high) * wall(plan) / nominal


def _other_loads(plan: Plan) -> Truth:
    behind = plan.position("isolating_transformer")
    loads = any(e.kind == "other_load" and (behind is None or e.index > behind) for e in plan.chain)
    return Truth.of(loads or sum(e.kind == "set" for e in plan.chain) > 1)


HERTZ = {name: Interval.exactly(float(name.split()[0])) for name in equipment.IRON_FREQUENCIES if name != "any"}
LOWEST, HIGHEST = HERTZ[equipment.FREQUENCIES[0]], HERTZ[equipment.FREQUENCIES[-1]]
"""Of the frequencies of the mains [Hz]. What is not stated is one of them."""


def _hertz(stated: str | None) -> Interval:
    """The frequency of the mains, or the lowest for which iron is made [Hz]."""
    return LOWEST.hull(HIGHEST) if stated is None else HERTZ.get(stated, LOWEST)


def _iron_of_the_bench(plan: Plan) -> Interval:
    """The lowest frequency that is right for every transformer of the bench [Hz]; 0 where it has none."""
    lowest = [_hertz(plan.record(kind).frequency) for kind in IRON if plan.has(kind)]
    return Interval(max((each.low for each in lowest), default=0.0), max((each.high for each in lowest), default=0.0))


PLAN_FACTS: tuple[Fact, ...] = (
    _plan("procedure.purpose", words(*chain.PURPOSES), "what the procedure is for", lambda p: p.header.purpose,
          "procedure.purpose"),
    _set("power_supply", words(*equipment.POWER_SUPPLIES), "how the set makes its supply from the mains"),
    _set("made_for", words(*equipment.CURRENTS, "either"), "the kind of mains that the plate of the set names"),
    _plan("set.frequency", quantity("frequency"), "the lowest frequency of the mains for which its iron is made",
          lambda p: _hertz(p.set.frequency), "set.frequency"),
    _set("mains_tap", quantity("voltage"), "the voltage at which its mains selector or tap stands; above all numbers where"
         " it is made for one voltage alone"),
    _set("motor", TRUTH, "the set has a motor on the mains"),
    _set("chassis", words(*equipment.CHASSIS),
         "`hot`: metal of the set is, or can be, joined to one side of the mains; `isolated`: a transformer separates it"),
    _set("common", words(*equipment.COMMONS), "how the negative line of a transformerless set lies to its chassis"),
    _set("earth", words(*equipment.EARTHS), "whether protective earth is joined to the chassis"),
    _set("rated_voltage", quantity("voltage"), "the mains voltage on the plate of the set"),
    _set("rated_power", quantity("power"), "what the set draws when it is well"),
    _plan("set.running_current", quantity("current"), "rated power over rated voltage", _running_current,
          "set.rated_power", "set.rated_voltage"),
    _set("fuse.fitted", TRUTH, "the set has a fuse in its mains line", asks="fuse"),
    _set("fuse.rating", quantity("current"), "the current marked on that fuse"),
    _set("fuse.kind", words("slow", "fast"), "whether that fuse is slow or fast"),
    _plan("set.rectifier", words(*equipment.RECTIFIERS), "what rectifies; `none` where the set is heaters only", _rectifier,
          "set.rectifier.kind"),
    _set("filter", words(*equipment.FILTERS), "what stands at the input of the filter of B+"),
    _set("heaters.connection", words("series", "parallel"), "how the heaters are fed", called="heaters"),
    _set("b_plus", quantity("voltage"), "B+ at full mains voltage", asks="B+"),
    _plan("set.b_plus_capacitors", TRUTH, "a capacitor that stands at B+ is listed, or several that share it",
          _b_plus_capacitors, "set.B+", "set.complete"),
    _set("b_plus_resistance", quantity("resistance"), "cold resistance of B+ that the circuit diagram gives",
         asks="B+_resistance"),
    _set("plug.polarised", TRUTH, "the plug fits the outlet one way round only"),
    _set("plug.neutral_to", words(*equipment.NEUTRAL_TO), "what the neutral pin reaches inside the set",
         called="neutral_to"),
    _set("plug_resistance", quantity("resistance"), "cold resistance across the plug, set switched on"),
    _plan("set.plug_resistance_from", quantity("resistance"), "the lower end of that range",
          _bound("plug_resistance", "from"), "set.plug_resistance"),
    _plan("set.plug_resistance_up_to", quantity("resistance"), "the upper end of that range",
          _bound("plug_resistance", "up to"), "set.plug_resistance"),
    _set("switch", words(*equipment.SWITCHES), "which line the switch of the set breaks"),
    _set("output", words(*equipment.OUTPUTS), "what drives the loudspeaker"),
    _set("coupling_capacitors", words(*equipment.SMALL_CAPACITORS),
         "what is known of the capacitors from an anode to the grid of an output tube"),
    _set("buffer_capacitor", words(*equipment.SMALL_CAPACITORS),
         "what is known of the capacitor across the transformer of a vibrator supply"),
    _has("picture_tube", "the set has a picture tube", "picture tube"),
    _has("resistor_cord", "a resistor for the heaters runs in the mains cord", "resistor cord"),
    _has("field_coil", "the field coil of the loudspeaker is part of the supply", "field coil"),
    _has("lamp_across_rectifier_heater", "a dial lamp carries part of the current of the rectifier's heater",
         "dial lamp across the rectifier heater"),
    _has("filaments_from_b_plus", "the filaments of the tubes are fed from B+", "filaments fed from B+"),
    _has("fixed_bias", "the output tubes get their bias from a supply of its own", "fixed bias"),
    _has("bare_terminals", "terminals or wires with volts can be touched from outside", "bare terminals"),
    _has("delayed_part", "a part comes into play late: a delay relay, a gas regulator, a thermistor",
         *equipment.DELAYED_PARTS),
    _plan("mains.voltage", quantity("voltage"), "nominal voltage at the wall", lambda p: number(p.mains.voltage),
          "mains.voltage"),
    _plan("mains.kind", words(*equipment.CURRENTS), "whether the mains are alternating or direct current; alternating where"
          " the plan does not say", lambda p: p.mains.kind or equipment.CURRENTS[0]),
    _plan("mains.frequency", quantity("frequency"), "frequency of the mains", lambda p: _hertz(p.mains.frequency),
          "mains.frequency"),
    _plan("mains.earth", words("present", "absent"), "whether the outlet has protective earth",
          lambda p: p.mains.earth, "mains.earth"),
    _plan("mains.residual_current", quantity("current"), "the current at which the residual current device at the wall"
          " trips", lambda p: number(p.mains.residual_current_device), "mains.residual_current_device"),
    _plan("bench.residual_current", quantity("current"), "the current at which the residual current device trips that is"
          " nearest before the set: that of the chain, else that at the wall", _residual_current,
          "mains.residual_current_device"),
    _plan("bench.isolated", TRUTH, "an isolating transformer, or a supply of direct current that isolates, stands"
          " between wall and set", isolated, "bench.chain.direct_current_supply.isolated"),
    _plan("bench.iron_frequency", quantity("frequency"), "the lowest frequency that is right for isolating transformer"
          " and autotransformer; 0 where the bench has neither", _iron_of_the_bench,
          *(f"bench.chain.{kind}.frequency" for kind in IRON)),
    _plan("bench.isolation_before_dial", TRUTH, "the isolating transformer does not come after the autotransformer; so it is"
          " where the first is missing",
          lambda p: Truth.of(not p.has("isolating_transformer")) | _before(p, "isolating_transformer", "autotransformer")),
    _plan("bench.output_earthed", TRUTH, "the output of the isolating transformer is joined to earth",
          lambda p: Truth.FALSE if _isolates_itself(p) else Truth.stated(_of("isolating_transformer", "output_earthed")(p)),
          "bench.chain.isolating_transformer.output_earthed"),
    _plan("bench.isolating_power", quantity("power"), "rating of the isolating transformer; above all numbers where a supply"
          " of direct current isolates in its place", lambda p: Interval.exactly(NO_CEILING) if _isolates_itself(p)
          else number(_of("isolating_transformer", "rated_power")(p)),
          "bench.chain.isolating_transformer.rated_power"),
    _plan("bench.other_loads", TRUTH, "something beside the set is fed from the same isolated supply", _other_loads),
    _plan("bench.gives", words(*equipment.CURRENTS), "the kind of current that the bench gives the set", _gives),
    _plan("bench.autotransformer", TRUTH, "the bench has an adjustable autotransformer, or an adjustable supply of direct"
          " current", lambda p: Truth.of(p.dial is not None)),
    _plan("bench.brush_current", quantity("current"), "rated current of the autotransformer's brush, or of that supply",
          lambda p: number(_of_dial("rated_current")(p)), *(f"bench.chain.{kind}.rated_current" for kind in chain.DIALS)),
    _plan("bench.dial_top", quantity("voltage"), "what the autotransformer, or that supply, gives with its dial at the end"
          " of the scale",
          _dial_top, *(f"bench.chain.{kind}.output" for kind in chain.DIALS), "mains.voltage"),
    _plan("bench.dial_fuse", quantity("current"), "the fuse in the output of the autotransformer, or of that supply",
          lambda p: number(_of_dial("fuse")(p)), *(f"bench.chain.{kind}.fuse" for kind in chain.DIALS)),
    _plan("bench.limiter", TRUTH, "the bench has a lamp limiter before the set",
          lambda p: _before(p, "limiter", "set")),
    _plan("bench.limiter_after_dial", TRUTH, "the limiter comes after the autotransformer, or the supply of direct current"
          " in its place, next to the set", lambda p: Truth.of(p.dial is None) | _before(p, p.dial or "", "limiter")),
    _plan("bench.limiter_after_isolation", TRUTH, "the limiter comes after the isolating transformer, if there is one",
          lambda p: Truth.of(not p.has("isolating_transformer")) | _before(p, "isolating_transformer", "limiter")),
    _plan("bench.limiter_proved_ago", quantity("time"), "time since the limiter was last proved, as the bench records",
          _proof("limiter", "proved"), "procedure.date"),
    _plan("bench.limiter_checked_ago", quantity("time"), "time since the limiter's wiring was last checked through, as the"
          " bench records", _proof("limiter", "continuity_checked"), "procedure.date"),
    _plan("bench.isolation_proved_ago", quantity("time"), "time since the isolating transformer was last proved",
          _proof("isolating_transformer", "proved"), "procedure.date"),
    _plan("bench.voltmeter_at_set", TRUTH, "a voltmeter sits at the set's side of the limiter", _voltmeter_at_set),
    _plan("bench.relies_on_residual_current", TRUTH, "the plan counts on a residual current device against shock",
          _relies_on_residual_current),
    _plan("bench.relies_on_dial_or_lamp", TRUTH, "the plan counts on dial, lamp or fuse against shock",
          _relies_on_dial_or_lamp),
    _plan("bench.outlet_switched", TRUTH, "the outlet of the bench has a switch", _outlet_switched,
          "bench.chain.outlet.switch"),
    _plan("bench.outlet_within_reach", TRUTH, "the outlet's switch can be reached without leaning over the set",
          lambda p: Truth.stated(_of("outlet", "within_reach")(p)), "bench.chain.outlet.within_reach"),
    _plan("bench.second_person", words("beside the bench", "within call", "none"), "who else is there",
          lambda p: p.bench.people.second_person if p.bench.people else None, "bench.people.second_person"),
    _plan("bench.eye_protection", TRUTH, "eyes are protected",
          lambda p: Truth.stated(p.bench.people.eye_protection if p.bench.people else None), "bench.people.eye_protection"),
    _plan("bench.knows_the_switch", TRUTH, "the second person knows how to cut the power",
          lambda p: Truth.stated(p.bench.people.knows_the_switch if p.bench.people else None),
          "bench.people.knows_the_switch"),
    _plan("bench.extinguisher", words(*chain.EXTINGUISHERS), "what fire extinguisher is within reach",
          lambda p: p.bench.people.extinguisher if p.bench.people else None, "bench.people.extinguisher"),
    _plan("bench.aired", TRUTH, "the room is aired while the set has volts", lambda p: Truth.stated(p.bench.aired),
          "bench.aired"),
    _plan("procedure.signed_off", TRUTH, "somebody has signed the plan off after a review",
          lambda p: Truth.of(p.signed_off is not None)),
    _plan("procedure.as_signed_off", TRUTH, "the plan and its card are still what was signed off",
          lambda p: Truth.of(p.signed_off is not None and p.signed_off.fingerprint == plan_fingerprint(p))),
    _plan("stop.current_above", quantity("current"), "the current above which the attempt ends",
          stop_conditions.current_above),
    _plan("stop.current_limit", TRUTH, "a stop condition gives a current",
          lambda p: Truth.of(stop_conditions.current_above(p).high < NO_CEILING)),
    _plan("stop.voltage_limit", TRUTH, "a stop condition gives a B+ or a voltage at the set that a fault comes to within"
          " some minutes, and a sound set does not", stop_conditions.gives_a_voltage, "set.rated_voltage", "set.B+",
          "set.B+_peak"),
    _plan("stop.smoke", TRUTH, "smoke ends the attempt by itself",
          lambda p: stop_conditions.ends_at(p, "smoke")),
    _plan("stop.smell", TRUTH, "a smell ends the attempt by itself",
          lambda p: stop_conditions.ends_at(p, "smell")),
    _plan("stop.red_anode", TRUTH, "an anode that glows ends the attempt by itself",
          lambda p: stop_conditions.ends_at(p, "red anode")),
    _plan("stop.actions", TRUTH, "the plan says what is done on a stop", lambda p: Truth.of(bool(p.stop_then))),
    _plan("stop.needs_cause", TRUTH, "power comes back only after the cause is found",
          lambda p: Truth.of(p.stop_again is not None)),
)
