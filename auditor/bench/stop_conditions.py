"""What the words of the stop conditions come to: the numbers that end the attempt, and the signs that do."""

from __future__ import annotations

import re
from functools import reduce
from operator import or_

from auditor.bench.fact import NO_CEILING
from auditor.logic.dimension import DIMENSIONS
from auditor.logic.interval import Interval
from auditor.logic.quantity import QuantityError, parse_quantity
from auditor.logic.truth import Truth
from auditor.plan.plan import Plan

IN_TIME = 300.0
"""A number that counts only after a longer time [s] ends nothing in time: tubes are warm within a minute, and what a
fault does within some minutes of full power is done (from memory)."""
LEAST_SHARE = 0.05
"""A number below this share of what a sound set shows is no limit: of all faults behind a lamp only a dead short at the
plug comes to it (from memory: a shorted filter behind a transformer leaves a tenth and more of the dial)."""
NUMBER = r"[0-9]+(?:\.[0-9]+)?"
AFTER = r"(?:\s+(?:after|for)\s+(?:more than\s+)?(?P<after>[0-9].*))?"
AT = rf"(?:\s+(?:at full dial|(?:with the set|with the dial|at a dial|with a dial) (?:at|of) {NUMBER}\s*V))?"
CURRENT = re.compile(rf"(?:the )?(?:set )?current\s+(?:above|over)\s+(?P<limit>{NUMBER}\s*m?A){AFTER}")
SET_VOLTAGE = re.compile(
    r"(?i:(?:the )?(?:set[ _]voltage|set[ _]volts|voltage at the set)\s+(?:stays )?(?:below|under))\s+"
    rf"(?:(?P<half>half)|(?P<share>{NUMBER})\s*%|(?P<limit>{NUMBER}\s*V))"
    rf"(?:\s+(?:of )?(?:what )?the dial(?: shows)?)?{AT}{AFTER}")
B_PLUS = re.compile(
    rf"(?i:(?:the )?(?:B\+|HT)\s+(?:stays )?(?P<side>above|over|below|under))\s+(?P<limit>{NUMBER}\s*V){AT}{AFTER}")
"""How a stop condition that gives a number is written, to its end: any other word in it could turn it round."""
RED_ANODE = re.compile(r"\b(?:(?:red|glowing)\s+(?:anode|plate)s?|(?:anode|plate)s?\s+(?:glows?|turns?\s+red))\b",
                       re.IGNORECASE)
TURNED_ROUND = re.compile(
    r"\b(?:no|not|without|never|unless|except|until|only|and|with|after|for|if|when|while|once|else|too|much|more|long|heavy"
    r"|heavily|thick|strong|strongly)\b", re.IGNORECASE)
"""Words by which a condition that names a sign waits for more than the sign, or means its opposite."""


def current_above(plan: Plan) -> Interval:
    """The lowest current at which a stop condition ends the attempt [A]; NO_CEILING where none gives one."""
    limits = [_quantity(found["limit"], "current") for condition in plan.stop_when if (found := _met(CURRENT, condition))]
    return Interval.exactly(min([NO_CEILING, *limits]))


def gives_a_voltage(plan: Plan) -> Truth:
    """Whether a stop condition gives a voltage at the set, or a B+, that a fault comes to and a sound set does not."""
    return reduce(or_, (_gives_a_voltage(plan, condition) for condition in plan.stop_when), Truth.FALSE)


def names(plan: Plan, sign: str) -> Truth:
    """Whether a stop condition names this sign, which by itself ends the attempt."""
    named = re.compile(rf"\b{sign}s?\b", re.IGNORECASE)
    return Truth.of(any(named.search(condition) and not TURNED_ROUND.search(condition) for condition in plan.stop_when))


def names_red_anode(plan: Plan) -> Truth:
    """Whether a stop condition names an anode that glows, which by itself ends the attempt."""
    return Truth.of(any(RED_ANODE.search(condition) and not TURNED_ROUND.search(condition) for condition in plan.stop_when))


def _gives_a_voltage(plan: Plan, condition: str) -> Truth:
    if found := _met(SET_VOLTAGE, condition):
        if found["limit"]:
            return _below(_quantity(found["limit"], "voltage"), plan.set.rated_voltage)
        return _below(0.5 if found["half"] else float(found["share"]) / 100, Interval.exactly(1.0))
    if found := _met(B_PLUS, condition):
        limit, in_use = _quantity(found["limit"], "voltage"), plan.set.b_plus
        if found["side"].lower() in ("below", "under"):
            return _below(limit, in_use)
        peak = plan.set.b_plus_peak
        return _between(limit, in_use.low if in_use else None, peak.high if peak else None)
    return Truth.FALSE


def _below(limit: float, usual: Interval | None) -> Truth:
    """Whether falling below the limit tells a fault from a set that shows what is usual."""
    return _between(limit, LEAST_SHARE * usual.low if usual else None, usual.high if usual else None)


def _between(limit: float, low: float | None, high: float | None) -> Truth:
    if (low is not None and limit < low) or (high is not None and limit > high):
        return Truth.FALSE
    return Truth.UNKNOWN if low is None or high is None else Truth.TRUE


def _met(pattern: re.Pattern[str], condition: str) -> re.Match[str] | None:
    """The condition read by the pattern, where it counts at once or within some minutes."""
    found = pattern.fullmatch(condition.strip())
    if found is None or found["after"] is None:
        return found
    try:
        return found if _quantity(found["after"], "time") <= IN_TIME else None
    except QuantityError:
        return None


def _quantity(text: str, kind: str) -> float:
    return parse_quantity(text, DIMENSIONS[kind]).high
