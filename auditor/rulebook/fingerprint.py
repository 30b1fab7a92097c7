"""What a rule means, in a few characters: two rulebooks can be told apart rule by rule."""

from __future__ import annotations

from hashlib import sha256

from auditor.logic.nodes import names_in
from auditor.rulebook.rule import Rule, Rulebook

DIGITS = 12
"""Hexadecimal digits of a fingerprint."""


def rule_fingerprints(rulebook: Rulebook) -> dict[str, str]:
    """For every rule in force a fingerprint of what it demands: it stays while only the wording changes.

    What it demands is its expressions, the limits in them, what it speaks of, and how serious it is.
    """
    return {rule.name: _fingerprint(rule, rulebook) for rule in rulebook.rules}


def _fingerprint(rule: Rule, rulebook: Rulebook) -> str:
    text = rule.text
    named = sorted(name.removeprefix("limit.") for name in names_in(rule.demand) if name.startswith("limit."))
    limits = [f"{name} = {rulebook.limits[name].value}" for name in named]
    parts = [text.signal_word, text.for_each or "", text.paths, text.applies_when or "", text.holds, *limits]
    return sha256("\n".join(" ".join(part.split()) for part in parts).encode()).hexdigest()[:DIGITS]
