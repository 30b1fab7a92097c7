"""Facts of each capacitor, line capacitor and instrument. A rule speaks of one at a time and is asked of all."""

from __future__ import annotations

from auditor.bench.circuit import cord_live, fed, wall, wall_above_nominal
from auditor.bench.electrical.body import capacitor_touch_current
from auditor.bench.fact import TRUTH, UNLISTED, Fact, Item, ItemReader, not_stated, number, quantity, stated, words
from auditor.bench.plan_facts import DAY, HERTZ, HIGHEST, LOWEST
from auditor.bench.replay import B_PLUS, WALL, named_capacitors
from auditor.bench.state_facts import LIVE
from auditor.bench.trace import Sample
from auditor.bench.written_volts import written_volts
from auditor.logic.interval import ANYTHING, Interval
from auditor.logic.kinds import Kind
from auditor.logic.truth import Truth
from auditor.plan import chain, equipment
from auditor.plan.plan import Plan

LISTS = {
    "capacitor": ("set.filter_capacitors", "set.complete"),
    "line_capacitor": ("set.line_capacitors", "set.complete"),
    "instrument": ("bench.instruments", "bench.complete"),
    "registered": ("bench.register", "bench.complete"),
}
"""For each kind of item the list of the plan that holds it, and the line that says the list is complete."""
ON_THE_MAINS = frozenset({
    "plug", "primary", "mains to chassis", "mains to exposed metal", "neutral to chassis", "neutral to common",
    "set outlet", "set outlet to earth", "limiter live", "limiter neutral", "limiter cross-paths"})
"""Points and places that are part of the mains side in every set and on every bench."""
AT_MOST_THE_MAINS = ON_THE_MAINS | {"exposed metal to earth", "earth pin to chassis", "limiter earth"}
"""Places where nothing is higher than the mains."""
OFF_THE_SET = frozenset({place for place in AT_MOST_THE_MAINS if place.startswith(("set outlet", "limiter"))} | {"nothing"})
SET_OUTLET = "set outlet"
WITHOUT_VOLTS = frozenset({"exposed metal to earth", "earth pin to chassis", "chassis", "common", "speaker", "other"})
"""Places that have no volts across them, or of which the plan does not tell."""
ON_B_PLUS = frozenset({"B+", "common", *B_PLUS})
HARMLESS = 60.0
"""The most direct voltage that may be touched [V]: IEC 61010-1 6.3.1, as quoted elsewhere."""
A_DEAD_METER_STAYS_BELOW = 5.0
"""A meter with a broken lead or a blown fuse shows nothing, or some volts that the loose lead picks up [V]: a proof that
lets less than this pass proves nothing (from memory)."""


def items(plan: Plan, kind: str) -> tuple[Item, ...]:
    """Every listed item of this kind, and one for what an open list may leave out; the register leaves nothing out."""
    if kind == "registered":
        return tuple(Item(kind, record.name, i, record) for i, record in enumerate(plan.bench.registered or ()))
    owner = plan.set if kind != "instrument" else plan.bench
    field = LISTS[kind][0].split(".")[1]
    listed = getattr(owner, field) or ()
    found = tuple(Item(kind, _name(record, i), i, record) for i, record in enumerate(listed))
    return found if owner.complete else (*found, Item(kind, UNLISTED, len(found), None))


def _name(record: object, index: int) -> str:
    return getattr(record, "name", None) or getattr(record, "between", None) or f"number {index + 1}"


def _doing(name: str, kind: Kind, meaning: str, read: ItemReader, depends: str = "sample",
           asks: tuple[str, ...] = ()) -> Fact:
    """What steps do to the item: false for one that no step can name."""
    return Fact(name, kind, meaning, name.split(".")[0], read, asks, Truth.FALSE, depends)


def _being(name: str, kind: Kind, meaning: str, read: ItemReader, *asks: str, depends: str = "nothing") -> Fact:
    """What the item is: not stated for one that is not listed."""
    return Fact(name, kind, meaning, name.split(".")[0], read, asks, not_stated(kind), depends)


def _stated(name: str, field: str, kind: Kind, meaning: str, *, key: str | None = None) -> Fact:
    """A property of the item itself, read where it is stated."""
    owner = LISTS[name.split(".")[0]][0]

    def read(plan: Plan, sample: Sample, item: Item) -> object:
        return stated(kind, getattr(item.record, field))

    return Fact(name, kind, meaning, name.split(".")[0], read, (f"{owner}[].{key or field}",),  # type: ignore[arg-type]
                not_stated(kind), "nothing")


def _proved_ago(plan: Plan, sample: Sample, item: Item) -> Interval:
    """Time from the proof to the day of the procedure [s]; 0 where it was proved anew after that day."""
    if plan.header.date is None:
        return ANYTHING
    return Interval.exactly(max((plan.header.date - item.record.proved).days, 0) * DAY)


def _named(plan: Plan, sample: Sample, item: Item, *verbs: str) -> Truth:
    return Truth.of(sample.step.verb in verbs and item.name in named_capacitors(sample.step, plan))


def _reformed(plan: Plan, sample: Sample, item: Item) -> Truth:
    return Truth.of(sample.exit and not sample.failed and sample.step.can_fail()) & _named(
        plan, sample, item, "reform")


def _joined(plan: Plan, sample: Sample, item: Item) -> Truth:
    """Whether the instrument is on the set now: connected, clipped, or used inside it in this step."""
    for state in (sample.state, sample.before):
        if any(name == item.name for name, _ in state.connected | state.clipped):
            return Truth.TRUE
    return Truth.of(sample.step.instrument == item.name and sample.step.verb == "measure")


def _on_live_parts(plan: Plan, sample: Sample, item: Item) -> Truth:
    """Whether the instrument is at something that has volts: at the set while that is fed, or across the live outlet."""
    return _joined(plan, sample, item) & _fed(plan, sample) | _across_the_live_outlet(plan, sample, item)


def _across_the_live_outlet(plan: Plan, sample: Sample, item: Item) -> Truth:
    return Truth.of(SET_OUTLET in _places(sample, item)) & fed(plan, sample.state)


def _across_volts(plan: Plan, sample: Sample, item: Item) -> Truth:
    """Whether the instrument stays across two points of the set that have volts, or is across the live outlet."""
    stays = Truth.of(bool(_stays_at(sample, item) - WITHOUT_VOLTS))
    return stays & _fed(plan, sample) | _across_the_live_outlet(plan, sample, item)


def _fed(plan: Plan, sample: Sample) -> Truth:
    return cord_live(plan, sample.state) | Truth.of(sample.step.fed_from == WALL)


def _earth_lifted(plan: Plan, sample: Sample, item: Item) -> Truth:
    """Whether the protective earth of a mains instrument has been opened; one that has no mains lead has none."""
    record: chain.Instrument = item.record
    mains = Truth.UNKNOWN if record.supply is None else Truth.of(record.supply == "mains")
    return mains & Truth.stated(record.earth_lifted)


def _places(sample: Sample, item: Item) -> frozenset[str]:
    """Where the instrument is: where it is connected or clipped now, or measures in this step."""
    found = {place for state in (sample.state, sample.before) for name, place in state.connected | state.clipped
             if name == item.name}
    if sample.step.verb == "measure" and sample.step.instrument == item.name and sample.step.across is not None:
        found.add(sample.step.across)
    return frozenset(found)


def _on_the_mains(plan: Plan, sample: Sample, item: Item) -> Truth:
    return Truth.of(bool(_places(sample, item) & ON_THE_MAINS))


def _on_b_plus(plan: Plan, sample: Sample, item: Item) -> Truth:
    """Whether the instrument is on B+, its return, or a capacitor that is not sure to stay at harmless volts."""
    capacitors = {c.name for c in plan.set.filter_capacitors or ()
                  if c.peak_voltage is None or c.peak_voltage.high > HARMLESS}
    return Truth.of(bool(_places(sample, item) & (ON_B_PLUS | capacitors)))


def _proving(plan: Plan, sample: Sample, item: Item) -> Truth:
    """The instrument is proved on a known source in this step, with a criterion that a dead meter misses, and passes.

    One that is clipped to the set, or connected to it, cannot be on the known source.
    """
    step = sample.step
    if any(name == item.name for name, _ in sample.before.clipped | sample.before.connected):
        return Truth.FALSE
    expected = step.expect.quantity if step.expect else None
    return Truth.of(step.verb == "prove" and step.what == item.name and step.on is not None
                    and expected is not None and expected[0] == "voltage" and expected[1].low >= A_DEAD_METER_STAYS_BELOW
                    and sample.exit and not sample.failed and step.can_fail())


def _stays_at(sample: Sample, item: Item) -> frozenset[str]:
    """Where on the set the instrument is connected or clipped."""
    return frozenset(place for name, place in sample.state.connected | sample.state.clipped
                     if name == item.name) - OFF_THE_SET


def _meets(plan: Plan, sample: Sample, item: Item) -> Interval:
    """The highest voltage that there can be where the instrument is in this step [V].

    At the mains side it is that of the mains, for which categories are made; across a capacitor that of the capacitor;
    elsewhere the peak of B+ with the wall at its highest, for leads inside a set reach its other points too.
    """
    places = _places(sample, item)
    if sample.step.verb == "prove_dead" and sample.step.instrument == item.name:
        places |= named_capacitors(sample.step, plan)
    own = {c.name: c.peak_voltage for c in plan.set.filter_capacitors or () if c.peak_voltage is not None}
    peak = number(plan.set.b_plus_peak) * Interval.exactly(wall_above_nominal(plan))
    highest = Interval.exactly(0.0)
    for place in places:
        volts = number(plan.mains.voltage if place in AT_MOST_THE_MAINS else own.get(place, peak))
        highest = Interval(max(highest.low, volts.low), max(highest.high, volts.high))
    return highest


def _volts(plan: Plan, sample: Sample, item: Item) -> Interval:
    """The volts written with the measurement category [V], the lowest where there are several: `CAT III 600 V` is 600 V.

    0 where it has no category; not stated where a category has no volts.
    """
    text = item.record.category
    if text is None:
        return number(None)
    if found := list(written_volts(text)):
        return Interval.exactly(min(found))
    return number(None) if _category(plan, sample, item).low > 0 else Interval.exactly(0.0)


def _touch_current(plan: Plan, sample: Sample, item: Item) -> Interval:
    """What the capacitor gives to earth through the network of a touch current meter, on whatever the wall has [A]."""
    farads, volts = item.record.capacitance, wall(plan)
    hertz = HERTZ.get(plan.mains.frequency or "", LOWEST.hull(HIGHEST))
    if farads is None or volts.is_anything:
        return number(None)
    return Interval(capacitor_touch_current(volts.low, farads.low, hertz.low),
                    capacitor_touch_current(volts.high, farads.high, hertz.high))


def _category(plan: Plan, sample: Sample, item: Item) -> Interval:
    """The measurement category as a number, 1 to 4; 0 where another is written."""
    text = item.record.category
    if text is None:
        return number(None)
    ranks = {"IV": 4.0, "III": 3.0, "II": 2.0, "I": 1.0}
    for word in text.upper().split():
        if word in ranks:
            return Interval.exactly(ranks[word])
    return Interval.exactly(0.0)


ITEM_FACTS: tuple[Fact, ...] = (
    _being("capacitor.charged", TRUTH, "it may hold charge",
          lambda p, s, i: s.state.may_be_charged(i.name), "set.idle_for", depends="state"),
    _doing("capacitor.discharged", TRUTH, "it has been discharged since it last had volts",
          lambda p, s, i: Truth.of(i.name in s.state.discharged), "state"),
    _doing("capacitor.being_discharged", TRUTH, "this step discharges it",
          lambda p, s, i: _named(p, s, i, "discharge"), "step"),
    _doing("capacitor.being_proved_dead", TRUTH, "this step proves it dead",
          lambda p, s, i: _named(p, s, i, "prove_dead"), "step"),
    _doing("capacitor.being_reformed", TRUTH, "this step reforms it",
          lambda p, s, i: _named(p, s, i, "reform"), "step"),
    _doing("capacitor.reformed", TRUTH, "it has been reformed in this step, with a criterion, and passed", _reformed),
    _stated("capacitor.capacitance", "capacitance", quantity("capacitance"), "its capacitance"),
    _stated("capacitor.working_voltage", "working_voltage", quantity("voltage"), "the working voltage marked on it"),
    _being("capacitor.peak_voltage", quantity("voltage"), "the highest voltage that it can meet: its own where that is"
           " stated, else that of B+ with no load", lambda p, s, i: number(
               i.record.peak_voltage if i.record.peak_voltage is not None else p.set.b_plus_peak), "set.B+_peak"),
    Fact("capacitor.on_b_plus", TRUTH, "it meets B+, for no voltage of its own is stated as the highest that it meets",
         "capacitor", lambda p, s, i: Truth.of(i.record.peak_voltage is None), (), Truth.UNKNOWN, "nothing"),
    Fact("capacitor.leakage", quantity("current"), "its leakage where that is stated, else 0", "capacitor",
         lambda p, s, i: i.record.leakage or Interval.exactly(0.0), (), Interval.exactly(0.0), "nothing"),
    _stated("capacitor.condition", "condition", words(*equipment.CONDITIONS), "what is known of its state"),
    _stated("line_capacitor.between", "between", words(*equipment.LINE_PLACES), "what it joins"),
    _stated("line_capacitor.class", "kind", words(*equipment.CAPACITOR_CLASSES), "its class or make", key="class"),
    _being("line_capacitor.touch_current", quantity("current"), "what it gives to whoever touches its far side and earth",
           _touch_current, "set.line_capacitors[].capacitance", "mains.voltage", "mains.frequency"),
    _stated("instrument.kind", "kind", words(*chain.INSTRUMENTS), "what it is"),
    _stated("instrument.earthed", "earthed", TRUTH, "its case or probe clip is joined to protective earth"),
    _being("instrument.earth_lifted", TRUTH, "its protective earth has been opened", _earth_lifted,
           "bench.instruments[].supply", "bench.instruments[].earth_lifted"),
    _stated("instrument.differential_probe", "differential_probe", TRUTH, "it looks through a differential probe"),
    _being("registered.proved_ago", quantity("time"), "how long before the day of the procedure it was last proved",
           _proved_ago, "procedure.date"),
    _being("registered.good_for", quantity("time"), "how long a proof of it is good for",
           lambda p, s, i: i.record.good_for),
    _doing("instrument.on_live_parts", TRUTH, "it is connected or clipped to the set, or measures in it, while cord or wall"
           " give that volts; or it is so across the outlet for the set while that has volts", _on_live_parts, asks=LIVE),
    _doing("instrument.on_the_mains", TRUTH, "it is connected, clipped or measures at the mains side: the plug, the mains"
           " winding, the limiter or the outlet for the set", _on_the_mains),
    _doing("instrument.on_b_plus", TRUTH, "it is connected, clipped or measures at B+, its return or a filter capacitor",
           _on_b_plus),
    _doing("instrument.attached", TRUTH, "it is connected or clipped to the set",
           lambda p, s, i: Truth.of(bool(_stays_at(s, i))), "state"),
    _doing("instrument.across_volts", TRUTH, "it is connected or clipped across two points of the set that can have volts,"
           " while cord or wall give them; or it is across the outlet for the set while that has volts", _across_volts,
           asks=LIVE),
    _doing("instrument.proving", TRUTH, "it is proved on a known source in this step, with a reading that a dead meter"
           " misses, and passes", _proving),
    _doing("instrument.proves_dead", TRUTH, "this step proves capacitors dead with it",
          lambda p, s, i: Truth.of(s.step.verb == "prove_dead" and s.step.instrument == i.name), "step"),
    _being("instrument.category", quantity("number"), "its measurement category, 1 to 4", _category,
          "bench.instruments[].category"),
    _being("instrument.volts", quantity("voltage"), "the volts written with its measurement category", _volts,
           "bench.instruments[].category"),
    _being("instrument.meets", quantity("voltage"), "the highest voltage that there can be where it is", _meets,
           "mains.voltage", "set.B+_peak", depends="sample"),
)
