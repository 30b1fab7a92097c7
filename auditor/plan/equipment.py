"""The set: what stands on the bench to be powered.

Nothing here has a default that stands for a fact: a property that the plan does not write is None, not stated.
"""

from typing import Annotated, Any

from pydantic import Field, model_validator

from auditor.plan.record import Record
from auditor.plan.values import (
    Amps,
    Farads,
    MadeForVolts,
    Ohms,
    RatedAmps,
    Seconds,
    Text,
    Volts,
    VoltsOrNone,
    Watts,
    Word,
    Words,
    YesNo,
    wrong,
)

HEATERS_ONLY = "heaters only"
POWER_SUPPLIES = ("transformer", "transformerless", "switching", "vibrator", "battery", HEATERS_ONLY)
"""`heaters only`: no B+ and no rectifier, as of a chain of heaters tried alone, or of any plain heating load."""
CURRENTS = ("alternating current", "direct current")
FREQUENCIES = ("25 Hz", "40 Hz", "50 Hz", "60 Hz")
IRON_FREQUENCIES = (*FREQUENCIES, "50 or 60 Hz", "any")
"""What a plate says of the frequency; `any` is any of those of the mains."""
CHASSIS = ("hot", "isolated")
EARTHS = ("bonded", "floating")
COMMONS = ("joined to chassis", "floating from chassis")
FILTERS = ("capacitor input", "choke input")
RECTIFIERS = ("tube", "silicon", "selenium", "none")
CONDITIONS = ("new", "tested", "reformed", "reform in this procedure", "original", "leaking", "bulged")
LINE_PLACES = ("line and line", "line and chassis", "line and common", "common and chassis")
CAPACITOR_CLASSES = ("X1", "X2", "Y1", "Y2", "Y4", "paper", "film", "ceramic")
NEUTRAL_TO = ("chassis", "common", "set switch", "transformer", "either way round")
SWITCHES = ("in the live line", "in the neutral line", "both lines", "none")
LOADS = ("connected", "dummy load", "disconnected")
OUTPUTS = ("tube", "transistor", "none")
INTERLOCKS = ("none", "closed", "bypassed")
LEADS = ("connected", "disconnected", "none")
SMALL_CAPACITORS = ("new", "tested", "original", "none")
DELAYED_PARTS = ("delay relay", "gas regulator", "thermistor")
"""Parts that come into play late, near full voltage or after a while."""
SPECIAL_PARTS = ("picture tube", "degaussing coil", "resistor cord", "field coil", "dial lamp across the rectifier heater",
                 "filaments fed from B+", "fixed bias", "batteries", "bare terminals", *DELAYED_PARTS)
"""What a set can have that asks for care of its own."""


class Fuse(Record):
    """A fuse in the mains line of the set, or `none`."""

    fitted: YesNo = True
    rating: RatedAmps | None = None
    kind: Annotated[str, Word(("slow", "fast"))] | None = None

    @model_validator(mode="before")
    @classmethod
    def none_means_not_fitted(cls, value: Any) -> Any:
        return {"fitted": "no"} if value == "none" else value


class Rectifier(Record):
    """What turns the alternating supply into B+."""

    kind: Annotated[str, Word(RECTIFIERS)] | None = None
    heater: Annotated[str, Word(("direct", "indirect"))] | None = None


class Heaters(Record):
    """How the tube heaters are fed."""

    connection: Annotated[str, Word(("series", "parallel"))] | None = None
    current: Amps | None = None


class FilterCapacitor(Record):
    """One electrolytic (or paper block) that holds charge from B+ or the bias supply.

    peak_voltage: the highest voltage that it can meet, where that is not the one of B+: a bias supply, one of a
    series pair.
    """

    name: Text
    capacitance: Farads | None = None
    working_voltage: Volts | None = None
    peak_voltage: Volts | None = None
    condition: Annotated[str, Word(CONDITIONS)] | None = None
    leakage: Amps | None = None


class LineCapacitor(Record):
    """A capacitor from the mains line to something else."""

    name: Text | None = None
    between: Annotated[str, Word(LINE_PLACES)] | None = None
    capacitance: Farads | None = None
    kind: Annotated[str, Word(CAPACITOR_CLASSES)] | None = Field(default=None, alias="class")


class Plug(Record):
    """The mains plug of the set and what its neutral reaches inside."""

    pins: Annotated[str, Word(("2", "3"))] | None = None
    polarised: YesNo | None = None
    neutral_to: Annotated[str, Word(NEUTRAL_TO)] | None = None


class Set(Record):
    """The set under test: every property that rules may need, each optional.

    made_for, frequency: what its plate says of the mains. mains_tap: the voltage at which its mains selector, its tap
    or the tap of its dropper stands; infinite where it is made for one voltage alone, which a plan writes `none`.
    motor_power: what its motor draws, turning, beside rated_power.
    special_parts: those of SPECIAL_PARTS that it has; `none`, or a list that `complete` closes.
    coupling_capacitors: those from an anode to the grid of an output tube; buffer_capacitor: the one across the
    transformer of a vibrator supply.
    """

    description: Text | None = None
    power_supply: Annotated[str, Word(POWER_SUPPLIES)] | None = None
    made_for: Annotated[str, Word((*CURRENTS, "either"))] | None = None
    frequency: Annotated[str, Word(IRON_FREQUENCIES)] | None = None
    mains_tap: VoltsOrNone | None = None
    motor: YesNo | None = None
    motor_power: Watts | None = None
    chassis: Annotated[str, Word(CHASSIS)] | None = None
    common: Annotated[str, Word(COMMONS)] | None = None
    earth: Annotated[str, Word(EARTHS)] | None = None
    rated_voltage: MadeForVolts | None = None
    rated_power: Watts | None = None
    fuse: Fuse | None = None
    rectifier: Rectifier | None = None
    filter: Annotated[str, Word(FILTERS)] | None = None
    heaters: Heaters | None = None
    b_plus: Volts | None = Field(default=None, alias="B+")
    b_plus_peak: Volts | None = Field(default=None, alias="B+_peak")
    b_plus_resistance: Ohms | None = Field(default=None, alias="B+_resistance")
    filter_capacitors: tuple[FilterCapacitor, ...] | None = None
    line_capacitors: tuple[LineCapacitor, ...] | None = None
    plug: Plug | None = None
    plug_resistance: Ohms | None = None
    switch: Annotated[str, Word(SWITCHES)] | None = None
    output: Annotated[str, Word(OUTPUTS)] | None = None
    coupling_capacitors: Annotated[str, Word(SMALL_CAPACITORS)] | None = None
    buffer_capacitor: Annotated[str, Word(SMALL_CAPACITORS)] | None = None
    special_parts: Annotated[tuple[str, ...], Words(SPECIAL_PARTS)] | None = None
    speaker: Annotated[str, Word(LOADS)] | None = None
    interlock: Annotated[str, Word(INTERLOCKS)] | None = None
    aerial: Annotated[str, Word(LEADS)] | None = None
    earth_lead: Annotated[str, Word(LEADS)] | None = None
    idle_for: Seconds | None = None
    complete: YesNo | None = None

    @model_validator(mode="after")
    def a_transformer_is_not_for_direct_current(self) -> "Set":
        if self.power_supply == "transformer" and self.made_for == CURRENTS[1]:
            raise wrong("a set with a mains transformer is not made for direct current, on which a transformer burns",
                        "look at the plate and into the set: `power_supply:` or `made_for:` is wrong")
        return self

    @model_validator(mode="after")
    def heaters_alone_make_no_b_plus(self) -> "Set":
        rectifies = self.rectifier is not None and self.rectifier.kind not in (None, "none")
        if self.power_supply == HEATERS_ONLY and (
                rectifies or self.b_plus or self.b_plus_peak or self.filter_capacitors):
            raise wrong(f"a set with `power_supply: {HEATERS_ONLY}` makes no B+, and B+, filter capacitors or a rectifier"
                        " are stated",
                        "write how it makes B+, as in `power_supply: transformerless`, or leave these out")
        return self

    @model_validator(mode="after")
    def alternating_current_makes_b_plus_through_a_rectifier(self) -> "Set":
        rectifies = self.rectifier is None or self.rectifier.kind != "none"
        if rectifies or not (self.b_plus or self.b_plus_peak or self.filter_capacitors):
            return self
        if self.power_supply == "transformer" or (
                self.power_supply == "transformerless" and self.made_for not in (None, CURRENTS[1])):
            raise wrong("there is B+ and no rectifier: alternating current would reverse the filter capacitors until they"
                        " burst", "write `rectifier: {kind: tube}` or what else it is; a set for direct current mains has"
                        " `made_for: direct current`")
        return self

    @model_validator(mode="after")
    def only_a_motor_draws_what_a_motor_draws(self) -> "Set":
        if self.motor_power is not None and self.motor is False:
            raise wrong("`motor_power` is stated, and `motor: no` says that the set has none on the mains",
                        "leave `motor_power` out, or write `motor: yes`")
        return self

    @model_validator(mode="after")
    def a_peak_is_not_below_what_is_in_use(self) -> "Set":
        peak, in_use = self.b_plus_peak, self.b_plus
        if peak is not None and in_use is not None and peak.high < in_use.low:
            raise wrong("`B+_peak`, which is B+ with nothing drawn, lies below `B+` in use",
                        "as in `B+: 220..270 V` with `B+_peak: 380 V`")
        return self
