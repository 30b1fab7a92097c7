"""The bench: the chain from the wall to the set, the instruments, the people.

The chain is a closed list: what is not written is not there. Instruments are an open list until `complete: yes`.
"""

from typing import Annotated, Any

from pydantic import Field, model_validator

from auditor.logic.interval import Interval
from auditor.plan.equipment import CURRENTS, FREQUENCIES, IRON_FREQUENCIES
from auditor.plan.record import Record
from auditor.plan.values import (
    Amps,
    Day,
    MadeForVolts,
    Names,
    OneOrSeveralWatts,
    RatedAmps,
    Said,
    Seconds,
    Text,
    Volts,
    Watts,
    Word,
    YesNo,
    wrong,
)

JOINED = ("in parallel", "in series")
FILAMENT_LAMPS = ("clear filament", "frosted filament", "filament", "halogen")
LAMPS = (*FILAMENT_LAMPS, "LED", "fluorescent", "motor", "heater")
INSTRUMENTS = ("multimeter", "voltmeter", "ammeter", "oscilloscope", "insulation tester", "signal generator",
               "signal tracer", "wattmeter", "other")
EXTINGUISHERS = ("carbon dioxide", "dry powder", "water", "none")
SUPPLIES = ("mains", "battery", "none")
PURPOSES = ("first power-up", "after repair", "after storage", "soak test", "demonstration", "return to service")


class Proof(Record):
    """A test made before this procedure: how, and on which day."""

    how: Text
    on: Day


class Outlet(Record):
    """The wall or bench outlet with its switch."""

    switch: Annotated[str, Word(("ordinary", "emergency", "none"))] | None = None
    within_reach: YesNo | None = None
    fuse: RatedAmps | None = None


class ResidualCurrentDevice(Record):
    """A device that opens when current leaks to earth (RCD, GFCI)."""

    trips_at: RatedAmps | None = None


class IsolatingTransformer(Record):
    """A transformer with separate windings: the only thing here that isolates."""

    rated_power: Watts | None = None
    frequency: Annotated[str, Word(IRON_FREQUENCIES)] | None = None
    output_earthed: YesNo | None = None
    proved: Proof | None = None


class Autotransformer(Record):
    """An adjustable autotransformer: one winding with a sliding brush. It isolates nothing."""

    output: Volts | None = None
    frequency: Annotated[str, Word(IRON_FREQUENCIES)] | None = None
    rated_current: RatedAmps | None = None
    fuse: RatedAmps | None = None


class DirectCurrentSupply(Record):
    """An adjustable supply of direct current, with a dial: for sets that run on direct current alone.

    isolated: its output has windings of its own, and nothing joins it to the mains or to earth.
    """

    output: Volts | None = None
    rated_current: RatedAmps | None = None
    fuse: RatedAmps | None = None
    isolated: YesNo | None = None


class Lamp(Record):
    """A lamp for the limiter, or several of one voltage and kind.

    power: printed on it, or on each of several. joined: how several are joined to each other.
    """

    power: OneOrSeveralWatts | None = None
    joined: Annotated[str, Word(JOINED)] | None = None
    voltage: MadeForVolts | None = None
    kind: Annotated[str, Word(LAMPS)] | None = None

    @model_validator(mode="after")
    def only_several_are_joined(self) -> "Lamp":
        if self.joined is not None and len(self.each) == 1:
            raise wrong("`joined` says how several lamps are joined, and here is one",
                        "list their watts, as in `power: [60 W, 40 W]`, or leave `joined` out")
        return self

    @property
    def each(self) -> tuple[Interval, ...]:
        """The watts printed on each lamp [W]; none where they are not stated."""
        return self.power if isinstance(self.power, tuple) else () if self.power is None else (self.power,)


class Limiter(Record):
    """A lamp holder in series with the set, with a bypass switch across it where one is fitted.

    lamp: what is in the holder, `none` where it is empty; where that is not stated, a lamp of which nothing is.
    """

    lamp: Lamp | None = None
    bypass: Annotated[str, Word(("open", "closed", "none"))] | None = None
    switch: Annotated[str, Word(("fitted", "none"))] | None = None
    proved: Proof | None = None
    continuity_checked: Proof | None = None

    @model_validator(mode="before")
    @classmethod
    def holder(cls, value: Any) -> Any:
        if not isinstance(value, dict):
            return value
        lamp = value.get("lamp")
        return {**value, "lamp": None if lamp == "none" else {} if lamp is None else lamp}


class Meter(Record):
    """A meter that stays in the chain."""

    range: Volts | None = None


class CurrentMeter(Record):
    """An ammeter that stays in the chain."""

    range: Amps | None = None


class PowerMeter(Record):
    """A wattmeter that stays in the chain."""

    range: Watts | None = None


class TheSet(Record):
    """Where the set is plugged in."""


class OtherLoad(Record):
    """Anything else fed from the same outlet."""

    description: Text | None = None


ELEMENTS: dict[str, type[Record]] = {
    "outlet": Outlet,
    "residual_current_device": ResidualCurrentDevice,
    "isolating_transformer": IsolatingTransformer,
    "autotransformer": Autotransformer,
    "direct_current_supply": DirectCurrentSupply,
    "limiter": Limiter,
    "voltmeter": Meter,
    "ammeter": CurrentMeter,
    "wattmeter": PowerMeter,
    "set": TheSet,
    "other_load": OtherLoad,
}

DIALS = ("autotransformer", "direct_current_supply")
"""The elements with a dial."""


class Registered(Record):
    """A thing on the register of the bench: when it was last proved, and how long that proof is good for."""

    name: Text
    proved: Day
    good_for: Seconds
    how: Text | None = None
    by: Text | None = None


class Instrument(Record):
    """A meter or test set used beside the chain."""

    name: Text
    kind: Annotated[str, Word(INSTRUMENTS)] | None = None
    category: Text | None = None
    range: Volts | None = None
    supply: Annotated[str, Word(SUPPLIES)] | None = None
    earthed: YesNo | None = None
    earth_lifted: YesNo | None = None
    differential_probe: YesNo | None = None
    connected_to: Text | None = None


class People(Record):
    """Who is there and how they are protected."""

    second_person: Annotated[str, Word(("beside the bench", "within call", "none"))] | None = None
    attended: Annotated[str, Word(("throughout", "at times", "no"))] | None = None
    eye_protection: YesNo | None = None
    knows_the_switch: YesNo | None = None
    extinguisher: Annotated[str, Word(EXTINGUISHERS)] | None = None


class Bench(Record):
    """The bench apart from its chain, which is read element by element."""

    instruments: tuple[Instrument, ...] | None = None
    registered: tuple[Registered, ...] | None = Field(default=None, alias="register")
    people: People | None = None
    relies_on: Names | None = Field(default=None, description="What the plan counts on against shock.")
    aired: YesNo | None = None
    complete: YesNo | None = None


class Mains(Record):
    """The supply at the wall."""

    voltage: MadeForVolts | None = None
    band: MadeForVolts | None = None
    kind: Annotated[str, Word(CURRENTS)] | None = None
    frequency: Annotated[str, Word(FREQUENCIES)] | None = None
    earth: Annotated[str, Word(("present", "absent"))] | None = None
    residual_current_device: RatedAmps | None = None


class Header(Record):
    """What the procedure is for.

    purpose: with `after repair`, `demonstration` and `return to service` the set leaves the bench afterwards.
    """

    title: Text
    purpose: Annotated[str, Word(PURPOSES)] | None = None
    format: Annotated[str, Word(("1",))] | None = None
    date: Day | None = None


class AcceptedRisk(Record):
    """A finding set aside on purpose: which rule, why, by whom, since when, until when."""

    rule: Said
    reason: Said
    by: Said
    on: Day | None = None
    until: Day


class SignOff(Record):
    """Who reviewed the plan, on which day, and the fingerprint of what was reviewed, as a report prints it."""

    by: Said
    on: Day
    fingerprint: Said


AGAIN = ("only after the cause is found", "never")


class StopRule(Record):
    """What ends the attempt at any energised step, and what is then done."""

    when: Names | None = Field(default=None, alias="if")
    again: Annotated[str, Word(AGAIN)] | None = None


