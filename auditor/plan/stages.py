"""A staged `raise` is short for the dial settings that it stands for."""

from __future__ import annotations

from auditor.logic.interval import Interval
from auditor.plan.problems import Problem
from auditor.plan.steps import Step

MOST_STEPS = 400
"""Steps after expansion; more than any bench will see in a day, and a bound on the work of an audit."""


def expand(steps: tuple[Step, ...], start: float | None = None) -> tuple[tuple[Step, ...], list[Problem]]:
    """The steps with every `raise` replaced by its stages, which keep the number of the step they came from.

    start: where the dial stands before the first step [V], None where no step has set it.
    """
    expanded: list[Step] = []
    problems: list[Problem] = []
    dial = start
    for step in steps:
        if step.verb == "raise":
            stages, problem = _stages(step, step.start.low if step.start else dial)
            expanded.extend(stages)
            if problem:
                problems.append(problem)
        else:
            expanded.append(step)
        if step.verb in ("set_dial", "raise") and step.to is not None:
            dial = step.to.high
        elif step.verb == "bring_set_to":  # the dial then stands wherever the meter at the set has asked for
            dial = None
        if len(expanded) > MOST_STEPS:
            problems.append(Problem(f"the steps expand to more than {MOST_STEPS}", ("steps", step.number - 1),
                                    suggestion="use larger stages or two procedures"))
            break
    return tuple(expanded[:MOST_STEPS]), problems


def _stages(step: Step, start: float | None) -> tuple[list[Step], Problem | None]:
    where = ("steps", step.number - 1)
    if start is None:
        return [], Problem("where the dial stands before this `raise` is not known", where,
                           suggestion="write a `set_dial: 0 V` step before it, or `from: 0 V` in it")
    assert step.to is not None
    assert step.by is not None
    end, by = step.to.low, step.by.low
    if step.to.low != step.to.high or step.by.low != step.by.high or by <= 0:
        return [], Problem("a `raise` needs one voltage to go to and one size of stage above zero", where,
                           suggestion="as in `raise: {to: 60 V, by: 15 V, hold: 1 min}`")
    if end <= start:
        return [], Problem(f"the dial already stands at {start:g} V, so it cannot be raised to {end:g} V", where,
                           suggestion="lower the dial with `set_dial`")
    count = -int(-(end - start) * (1 - 1e-9) // by)
    if count > MOST_STEPS:
        return [], Problem(f"this `raise` has more than {MOST_STEPS} stages", where, suggestion="write a larger `by`")
    settings = [start + by * k for k in range(1, count)] + [end]
    return [
        step.model_copy(update={"verb": "set_dial", "to": Interval.exactly(volts), "stage": (k, count)})
        for k, volts in enumerate(settings, start=1)
    ], None
