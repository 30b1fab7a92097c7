"""A fault as its file writes it: what it changes on the bench, how it shows, what it can do, and who says so."""

from typing import Annotated

from pydantic import Field

from auditor.logic.interval import Interval
from auditor.plan.record import Record
from auditor.plan.values import AnyQuantity, Names, Ohms, Quantity, Seconds, Text, Watts, Word, YesNo
from auditor.plan.verbs import MEASURED

KINDS = ("of the set", "of the bench", "of the operator")
PLACES = ("the cord", "the set", "B+", "the motor")
"""Where a load sits: before the switch of the set, behind it, behind its rectifier, or in its motor."""
ENDS = ("fire", "burst", "damage")
Number = Annotated[Interval, Quantity("number", "1.5")]


class Effect(Record):
    """What a fault changes, each part None where it changes nothing there.

    short: a resistance across the supply, at `at`. draws: so many times the current of the healthy set; at the motor, which
    then stands still, so many times the watts that it draws turning.
    open_circuit: the set draws nothing. b_plus: it stands at its peak, with nothing drawn. leaks: a resistance from the
    mains side to the chassis. lamp: the limiter limits nothing. isolation: something bridges the isolating transformer.
    earth: its conductor is broken. plug: live and neutral are the wrong way round. stays_closed: a switch that cuts
    nothing. bare: a live wire lies open where a hand can reach it. meter: instruments show nothing, whatever is there.
    residual_current_device: it never opens. fuse: of the set, it never opens. tool: the discharging resistor is open.
    switched_on: somebody switches it on at a wrong moment.
    """

    short: Ohms | None = None
    draws: Number | None = None
    at: Annotated[str, Word(PLACES)] = "the set"
    open_circuit: YesNo = False
    b_plus: Annotated[str, Word(("peak",))] | None = None
    leaks: Ohms | None = None
    lamp: Annotated[str, Word(("limits nothing",))] | None = None
    isolation: Annotated[str, Word(("bridged",))] | None = None
    earth: Annotated[str, Word(("broken",))] | None = None
    plug: Annotated[str, Word(("the other way round",))] | None = None
    stays_closed: Annotated[str, Word(("outlet", "set", "limiter"))] | None = None
    bare: YesNo = False
    meter: Annotated[str, Word(("shows nothing",))] | None = None
    residual_current_device: Annotated[str, Word(("never opens",))] | None = None
    fuse: Annotated[str, Word(("never opens",))] | None = None
    tool: Annotated[str, Word(("open",))] | None = None
    switched_on: Annotated[str, Word(("outlet", "set"))] | None = None

    def parts(self, names: tuple[str, ...]) -> tuple[object, ...]:
        """These parts of the effect: two effects that are equal in them are alike to whoever sees no others."""
        return tuple(getattr(self, name) for name in names)

    @property
    def changes_the_load(self) -> bool:
        """Whether the set draws something else than a healthy one."""
        return self.short is not None or self.draws is not None or self.open_circuit


NO_EFFECT = Effect()


class MeasuredSign(Record):
    """What a measurement reads that meets the fault. set_switch: only with the set's switch so. begun: only once the fault
    has set in."""

    measures: Annotated[str, Word(MEASURED)]
    across: Names
    set_switch: Annotated[str, Word(("on", "off"))] | None = None
    reads: Annotated[tuple[str, Interval], AnyQuantity(("resistance", "voltage", "current"))]
    begun: YesNo = False


class Signs(Record):
    """How a fault shows apart from the meters of the chain and the lamp, whose readings are computed.

    inspected: at whose inspection with a criterion it is seen. proved: the proof that fails. reforming: whether reforming
    with a limit of leakage shows it. sensed: what eye, ear and nose notice while the set is powered, and after how long.
    """

    measured: tuple[MeasuredSign, ...] = ()
    inspected: Names = ()
    proved: Names = ()
    reforming: YesNo = False
    sensed: Names = ()
    sensed_after: Seconds = Field(default=Interval.exactly(0.0))


class HeatedPart(Record):
    """The part that the fault heats: how many watts it stands for ever, and how long it stands just more. Of twice the
    watts it stands half the time, as if no heat left it. share: of the rated watts of the set, where that comes to more
    than `stands`, for what a larger set has larger."""

    part: Text
    stands: Watts
    share: Number | None = None
    before: Seconds
    ends_in: Annotated[str, Word(ENDS)]
    sources: Names


class Fault(Record):
    """One usual fault.

    possible_when: an expression over facts of the plan; where it is false the set cannot have the fault. ruled_out_by:
    an expression that is true where the plan states that the fault is not there. starts: from when on power it
    is there, at the latest. residual: why no written procedure can contain it. not_simulated: why the model does not
    play it. safeguards: the rules that ask for what contains it.
    """

    fault: Text
    says: Text
    kind: Annotated[str, Word(KINDS)]
    possible_when: Text | None = None
    ruled_out_by: Text | None = None
    effect: Effect = NO_EFFECT
    starts: Seconds = Field(default=Interval.exactly(0.0))
    signs: Signs = Signs()
    heats: HeatedPart | None = None
    harm: Text
    safeguards: Names = ()
    residual: Text | None = None
    not_simulated: Text | None = None
    sources: Names


class FaultFile(Record):
    """One file of faults."""

    topic: Text
    faults: tuple[Fault, ...]
