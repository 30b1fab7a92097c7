"""What a plan says, in a few characters: to tell whether it is still the one that was reviewed."""

from __future__ import annotations

import json
from hashlib import sha256
from typing import Any

from auditor.plan.plan import Plan

DIGITS = 12
"""Hexadecimal digits of a fingerprint: two plans by chance alike are one in 16 to the 12th."""
SIGN_OFF = "signed_off"
"""The part of a plan that is not part of what is signed."""


def plan_fingerprint(plan: Plan) -> str:
    """The fingerprint of a plan with its bench card; comments, layout, the order of keys and the sign-off do not count."""
    card = plan.source.card
    return fingerprint_of(plan.source.data, card.data if card else None)


def fingerprint_of(data: Any, card: Any = None) -> str:
    """The fingerprint of a plan and its card out of their data."""
    signed = {key: value for key, value in data.items() if key != SIGN_OFF}
    return sha256(json.dumps([signed, card], sort_keys=True).encode("utf-8", "surrogatepass")).hexdigest()[:DIGITS]
