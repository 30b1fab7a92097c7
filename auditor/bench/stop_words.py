"""What the words of a stop condition say: a reading at which the attempt ends, or a sign that ends it."""

from __future__ import annotations

import re
from functools import cache

from msgspec import Struct

from auditor.logic.dimension import DIMENSIONS
from auditor.logic.quantity import QuantityError, parse_quantity

NUMBER = r"[0-9]+(?:\.[0-9]+)?"
AFTER = r"(?:\s+(?:after|for)\s+(?:more than\s+)?(?P<after>[0-9].*))?"
AT = rf"(?P<at>\s+(?:at full dial|(?:with the set|with the dial|at a dial|with a dial) (?:at|of) {NUMBER}\s*V))?"
PATTERNS = {reading: re.compile(pattern) for reading, pattern in {
    "current": rf"(?:the )?(?:set )?current\s+(?P<side>above|over)\s+(?P<limit>{NUMBER}\s*m?A){AFTER}",
    "set_voltage": r"(?i:(?:the )?(?:set[ _]voltage|set[ _]volts|voltage at the set)\s+(?:stays )?(?P<side>below|under))\s+"
           rf"(?:(?P<half>half)|(?P<share>{NUMBER})\s*%|(?P<limit>{NUMBER}\s*V))"
           rf"(?:\s+(?:of )?(?:what )?the dial(?: shows)?)?{AT}{AFTER}",
    "B+": rf"(?i:(?:the )?(?:B\+|HT)\s+(?:stays )?(?P<side>above|over|below|under))\s+(?P<limit>{NUMBER}\s*V){AT}{AFTER}",
    "lamp": r"(?i:(?:the |a )?(?:lamp\s+(?:(?:is|stays|remains|still|glows|burns|turns|at|full|fully|very)\s+)*"
            rf"bright(?:ly|ness)?|(?:fully?\s+)?bright\s+lamp)(?:\s+and stays so)?){AFTER}",
}.items()}
"""How a condition that gives a reading is written, to its end: any other word in it could turn it round."""
OTHER_WORDS = {"red anode": r"(?:(?:red|glowing)\s+(?:anode|plate)s?|(?:anode|plate)s?\s+(?:glows?|turns?\s+red))"}
"""How a sign may be written where its name is not the only way."""
TURNED_ROUND = re.compile(
    r"\b(?:no|not|without|never|unless|except|until|only|and|with|after|for|if|when|while|once|else|too|much|more|long|heavy"
    r"|heavily|thick|strong|strongly)\b", re.IGNORECASE)
"""Words by which a condition that names a sign waits for more than the sign, or means its opposite."""


class Limit(Struct, frozen=True):
    """A reading at which a stop condition ends the attempt.

    reading: `current`, `set_voltage`, `B+`, or `lamp`, which is then bright; side: `above` or `below`; value: in amperes or
    volts; share: of what the dial shows, where the condition gives no volts; at_one_setting: whether it speaks of one
    setting of the dial alone; after: how long it may be so before it counts, as the plan writes it, None where it counts at
    once; seconds: the same [s].
    """

    reading: str
    side: str
    value: float | None
    share: float | None
    at_one_setting: bool
    after: str | None
    seconds: float


@cache
def limit(condition: str) -> Limit | None:
    """The reading that a condition gives; None where it gives none that is understood."""
    for reading, pattern in PATTERNS.items():
        if found := pattern.fullmatch(condition.strip()):
            try:
                return _limit(reading, found.groupdict())
            except QuantityError:
                return None
    return None


def _limit(reading: str, said: dict[str, str | None]) -> Limit:
    value, share, after = said.get("limit"), said.get("share"), said["after"]
    return Limit(
        reading=reading,
        side="below" if (said.get("side") or "").lower() in ("below", "under") else "above",
        value=_quantity(value, "current" if reading == "current" else "voltage") if value else None,
        share=0.5 if said.get("half") else float(share) / 100 if share else None,
        at_one_setting=said.get("at") is not None,
        after=after,
        seconds=_quantity(after, "time") if after else 0.0)


@cache
def names(condition: str, sign: str) -> bool:
    """Whether a condition names something that is seen, heard or smelt, which by itself ends the attempt."""
    written = rf"\b{OTHER_WORDS.get(sign, re.escape(sign) + 's?')}\b"
    return re.search(written, condition, re.IGNORECASE) is not None and TURNED_ROUND.search(condition) is None


def _quantity(text: str, kind: str) -> float:
    return parse_quantity(text, DIMENSIONS[kind]).high
