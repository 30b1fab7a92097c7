"""The JSON Schema of a rule file and of a policy, for editors."""

from __future__ import annotations

from auditor.plan.json_schema import DIALECT, TEXT, YES_NO, Definitions, Schema, words
from auditor.rulebook.examples import OUTCOMES, Change
from auditor.rulebook.meanings import MEANINGS
from auditor.rulebook.policy_file import PolicyText
from auditor.rulebook.rule import SIGNAL_WORDS, RuleFile

VARIANTS = {("Bar", ""): words(SIGNAL_WORDS), ("Topic", ""): YES_NO, ("LimitChange", ""): TEXT}
"""Decisions of which the value alone may be written, where they have no reason."""
NAME = r"^[a-z]+(-[a-z0-9]+){1,9}$"
BEYOND = ("Whether expressions can be read, names are known and examples come out as they say is told by "
          "`auditor rulebook prove FILE`.")


def rules_schema() -> Schema:
    """The schema of a rule file: the rules, or the second document with their examples."""
    definitions = Definitions(MEANINGS)
    rules = definitions.mapping(RuleFile)
    return _document("Rule file", "Rules of one topic, and in a second document their examples.",
                     {"if": _has("topic"), "then": rules, "else": _examples(definitions)}, definitions)


def policy_schema() -> Schema:
    """The schema of a policy: what it decides, or the second document with the examples of its rules."""
    definitions = Definitions(MEANINGS, VARIANTS)
    policy = definitions.mapping(PolicyText)
    return _document("Policy", "What a club or shop decides beside the rules, and in a second document examples.",
                     {"if": _has("policy"), "then": policy, "else": _examples(definitions)}, definitions)


def _has(key: str) -> Schema:
    return {"required": [key]}


def _examples(definitions: Definitions) -> Schema:
    """For every rule the plans on which it comes to an outcome, each a change to a base plan."""
    one = {"anyOf": [{"enum": ["as it is"]}, definitions.record(Change)]}
    several = {"anyOf": [one, {"type": "array", "items": one, "minItems": 1}]}
    about = {outcome: {"description": f"Plans of which it is {outcome}.", **several} for outcome in OUTCOMES}
    return {"propertyNames": {"pattern": NAME}, "additionalProperties": {
        "type": "object", "properties": about, "required": ["kept", "broken"], "additionalProperties": False}}


def _document(title: str, about: str, body: Schema, definitions: Definitions) -> Schema:
    return {"$schema": DIALECT, "title": title, "description": f"{about} {BEYOND}", "type": "object", **body,
            "$defs": definitions.found}
