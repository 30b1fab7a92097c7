"""The JSON Schema of a plan and of a bench card, for editors. What it cannot say is told in its description."""

from __future__ import annotations

from typing import Any

from auditor.plan.card import SHARED_PARTS
from auditor.plan.chain import ELEMENTS, AcceptedRisk, Bench, Header, Lamp, Mains, SignOff, StopRule
from auditor.plan.equipment import Set
from auditor.plan.json_schema import (
    DIALECT,
    NOT_STATED,
    PLAIN_NUMBER,
    TEXT,
    UNITS_IN_WORDS,
    Definitions,
    Schema,
    described,
    keyed,
    words,
)
from auditor.plan.meanings import CARD_PARTS, MEANINGS, PARTS, VERBS_SAY
from auditor.plan.read import MOST_LISTED, ONE_OF_EACH
from auditor.plan.read import PARTS as PLAN_PARTS
from auditor.plan.read_steps import DO, LONGEST_BRANCH
from auditor.plan.steps import EXPECTED_KINDS, Step
from auditor.plan.verbs import PLACES, READINGS, VERBS, Verb

NONE: Schema = {"enum": ["none"]}
VARIANTS = {("Set", "fuse"): NONE, ("Limiter", "lamp"): NONE}
"""Keys under which `none` may stand in place of a mapping."""
USUAL = {"across": PLACES, "read": READINGS}
"""Words to choose from under a key that takes names of the plan as well."""
LISTED = ("instruments", "filter_capacitors", "line_capacitors")

BEYOND = (
    "Further conditions, which a schema cannot say, are told by `auditor audit`: which end of a range is the lower one, "
    "what has to be above zero, dates that no calendar has, names that have to be known, differ or be sequences of the "
    "card, what a way out may hold, what a card says in place of the plan, one thing written twice in a step, a needed key "
    "that is `unknown`, capitals and other liberties of spelling, what contradicts something else, how far steps expand.")


def plan_schema() -> Schema:
    """The schema of a plan."""
    parts = _Parts()
    risks = {"type": "array", "items": parts.definitions.record(AcceptedRisk)}
    schemas = {
        "card": {"type": "string", "pattern": "^[a-z0-9]+(-[a-z0-9]+)*$", "examples": ["north-bench"]},
        "procedure": parts.definitions.record(Header), "set": parts.definitions.record(Set), **parts.shared(),
        "steps": {"$ref": "#/$defs/steps"}, "accepted_risks": risks,
        "signed_off": parts.definitions.record(SignOff),
    }
    properties = {key: described(schemas[key], PARTS[key]) for key in PLAN_PARTS}
    return parts.document("Power-up procedure", "A plan: how an old mains-powered set gets its first power.", {
        **keyed({**properties, "procedure": {"description": PARTS["procedure"], "$ref": "#/$defs/Header"}}),
        "required": ["procedure"],
    })


def card_schema() -> Schema:
    """The schema of a bench card."""
    parts = _Parts()
    # What a step of a sequence leaves open stands beside the `do` that calls it, so there nothing is needed.
    parts.definitions.found["SharedStep"] = _step(parts.definitions, whole=False)
    shared_steps = {"type": "array", "items": {"$ref": "#/$defs/SharedStep"}}
    sequences = {"type": "object", "additionalProperties": shared_steps}
    return parts.document("Bench card", "What a shop or club writes once for all its procedures.", keyed({
        "title": described(TEXT, CARD_PARTS["title"]),
        **{key: described(schema, PARTS[key]) for key, schema in parts.shared().items()},
        "sequences": described(sequences, CARD_PARTS["sequences"]),
    }))


class _Parts:
    """The parts that plans and cards have in common."""

    def __init__(self) -> None:
        self.definitions = Definitions(MEANINGS, VARIANTS)
        found = self.definitions.found
        found["steps"] = {"type": "array", "items": {"$ref": "#/$defs/Step"}}
        found["branch"] = {"type": "array", "items": {"$ref": "#/$defs/Step"}, "maxItems": LONGEST_BRANCH}
        found["Step"] = _step(self.definitions)
        self.definitions.record(Lamp)

    def shared(self) -> dict[str, Schema]:
        meanings = MEANINGS["Bench"]["chain"], MEANINGS["StopRule"]["then"]
        bench = self.definitions.mapping(Bench, {"chain": described(self._chain(), meanings[0])})
        stop = self.definitions.mapping(StopRule, {"then": described({"$ref": "#/$defs/steps"}, meanings[1])})
        schemas: dict[str, Schema] = {"mains": self.definitions.record(Mains), "bench": bench, "stop": stop}
        return {part: schemas[part] for part in SHARED_PARTS}

    def _chain(self) -> Schema:
        kinds = {kind: {"anyOf": [self.definitions.record(model), NOT_STATED],
                        "description": (model.__doc__ or "").splitlines()[0]} for kind, model in ELEMENTS.items()}
        element = {"anyOf": [words(ELEMENTS),
                             {"type": "object", **keyed(kinds), "minProperties": 1, "maxProperties": 1}]}
        the_set = {"anyOf": [{"const": "set"}, {"type": "object", "required": ["set"]}]}
        once = [{"contains": {"anyOf": [{"const": kind}, {"type": "object", "required": [kind]}]},
                 "minContains": 0, "maxContains": 1} for kind in sorted(ONE_OF_EACH)]
        return {"type": "array", "items": element, "allOf": [
            {"if": {"minItems": 1}, "then": {"contains": the_set}}, *once]}

    def document(self, title: str, about: str, body: Schema) -> Schema:
        for schema in self.definitions.found.values():
            for key in LISTED:
                if key in schema.get("properties", {}):
                    _bounded(schema["properties"][key])
        for key in LISTED:
            bench = body["properties"]["bench"]
            for option in bench.get("anyOf", ()):
                if key in option.get("properties", {}):
                    _bounded(option["properties"][key])
        return {"$schema": DIALECT, "title": title, "description": f"{about} {BEYOND}", "type": "object", **body,
                "$defs": self.definitions.found}


def _bounded(schema: Schema) -> None:
    for option in schema["anyOf"]:
        if option.get("type") == "array":
            option["maxItems"] = MOST_LISTED


def _step(definitions: Definitions, *, whole: bool = True) -> Schema:
    """A step: one verb, and what belongs to it beside the verb or inside its mapping."""
    fields = {info.alias or name: info for name, info in Step.model_fields.items()}
    taken = {key for verb in VERBS.values() for key in verb.fields}
    for key, info in fields.items():
        if key in taken:
            schema = definitions.field("Step", key, info)
            definitions.found[f"step_{key}"] = _with_words(schema, USUAL[key]) if key in USUAL else schema
    definitions.found["step_expect_of_measure"] = _measured(definitions)
    told: dict[str, Schema] = {key: {"$ref": f"#/$defs/step_{key}"} for key in fields if key in taken}
    properties: dict[str, Any] = {
        **{verb: {"description": VERBS_SAY.get(verb, VERBS[verb].says)} for verb in VERBS},
        DO: {"description": VERBS_SAY[DO], "type": "string"},
        **told,
    }
    return {"anyOf": [
        {"enum": [name for name, verb in VERBS.items() if verb.main is None and not verb.needs]},
        {"type": "object", "description": "One verb with what belongs to it.", **keyed(properties),
         "oneOf": [{"required": [verb]} for verb in (*VERBS, DO)],
         "allOf": [{"if": {"required": [name]}, "then": _of_verb(name, verb, told, whole)}
                   for name, verb in VERBS.items()]},
    ]}


def _of_verb(name: str, verb: Verb, told: dict[str, Schema], whole: bool) -> Schema:
    """What holds for a step with this verb: its keys, those it needs, and its value."""
    own = {key: told[key] for key in told if key in verb.fields}
    if name == "measure":
        own["expect"] = {"$ref": "#/$defs/step_expect_of_measure"}
    inside = dict(own)
    if verb.main == "lamp":  # the lamp that comes in may be called `to`, or stand there itself
        inside["to"] = told["lamp"]
    values: list[Schema] = [{"type": "object", **keyed(inside)}]
    needs = {need: [_inside(name, need)] for need in verb.needs}
    if verb.main == "lamp":
        values.append(told["lamp"])
    elif verb.main is not None:
        values.append({"not": {"type": "object"}, **_main(verb, told)})
        needs[verb.main] = [_inside(name, verb.main), {"properties": {name: {"not": {"type": "object"}}}}]
    return {
        "properties": {name: {"anyOf": values}, **({"expect": own["expect"]} if name == "measure" else {})},
        "propertyNames": {"enum": [name, *own]},
        **({"allOf": [{"anyOf": [{"required": [need]}, *ways]} for need, ways in needs.items()]} if needs and whole else {}),
    }


def _with_words(schema: Schema, usual: tuple[str, ...]) -> Schema:
    """The schema with words to choose from; names that the plan gives may stand there too."""
    return {**schema, "anyOf": [{"enum": list(usual)}, *schema["anyOf"]]}


def _measured(definitions: Definitions) -> Schema:
    """What a measurement should show: a range of some quantity."""
    ranges = [definitions.quantity(kind) for kind in EXPECTED_KINDS if kind in UNITS_IN_WORDS]
    return described({"anyOf": [*ranges, PLAIN_NUMBER], "examples": ["10 Mohm.."]}, MEANINGS["Step"]["expect"])


def _inside(verb: str, key: str) -> Schema:
    return {"properties": {verb: {"type": "object", "required": [key]}}}


def _main(verb: Verb, told: dict[str, Schema]) -> Schema:
    """The verb's own value: one of its words, or whatever its field holds."""
    if verb.words and verb.names:
        return {"anyOf": [words(verb.words), told["what"]]}
    if verb.words:
        return words((*verb.words, *(f"the {word}" for word in verb.words)))
    return told[str(verb.main)]
