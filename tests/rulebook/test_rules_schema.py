"""The JSON Schema of rule files and policies: it takes the shipped ones, and refuses what their readers refuse."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from auditor.plan.files import is_policy
from auditor.plan.shipped import rules_folder
from auditor.rulebook.load import BadRules, compile_rulebook
from auditor.rulebook.rules_schema import policy_schema, rules_schema
from tests.as_an_editor import documents
from tests.written import a_rule

RULES_SCHEMA, POLICY_SCHEMA = rules_schema(), policy_schema()
RULES, POLICY = Draft202012Validator(RULES_SCHEMA), Draft202012Validator(POLICY_SCHEMA)
ROOT = Path(__file__).resolve().parents[2]
POLICIES = sorted(file for file in (ROOT / "procedures").rglob("*.yaml") if is_policy(file.name))


def errors(check: Draft202012Validator, text: str) -> list[str]:
    return [f"{error.json_path}: {error.message[:200]}" for data in documents(text) for error in check.iter_errors(data)]


@pytest.mark.parametrize("schema", [RULES_SCHEMA, POLICY_SCHEMA], ids=["rules", "policy"])
def test_the_schema_is_one_of_draft_2020_12(schema: Any) -> None:
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    Draft202012Validator.check_schema(schema)


@pytest.mark.parametrize("file", sorted(rules_folder().glob("*.yaml")), ids=lambda file: file.stem)
def test_a_shipped_rule_file_and_its_examples_fit(file: Path) -> None:
    assert errors(RULES, file.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("file", POLICIES, ids=lambda file: file.name)
def test_a_policy_of_the_club_fits(file: Path) -> None:
    assert errors(POLICY, file.read_text(encoding="utf-8")) == []


GOOD = a_rule("never-on", "never(energised)")
LIMIT = {"limit": "most_volts", "kind": "voltage", "value": "50 V", "stricter": "lower", "means": "x", "sources": "x"}
BAD = {
    "an unknown key": {**GOOD, "signal_wrod": "DANGER"},
    "an unknown signal word": {**GOOD, "signal_word": "PERIL"},
    "an unknown hazard": {**GOOD, "hazard": "noise"},
    "no formula": {key: value for key, value in GOOD.items() if key != "holds"},
    "no remedy": {key: value for key, value in GOOD.items() if key != "remedy"},
    "a remedy without what to do": {**GOOD, "remedy": {"write": "x"}},
    "an unknown item": {**GOOD, "for_each": "valve base"},
    "a list for a name": {**GOOD, "rule": ["never-on"]},
}


def both(rule: Any, *limits: Any) -> tuple[bool, bool]:
    """Whether the reader takes a file with this rule, and whether it fits the schema."""
    text = json.dumps({"topic": "for a test", "limits": limits, "rules": [rule]})
    try:
        compile_rulebook([("rules.yaml", text.encode())])
    except BadRules:
        return False, errors(RULES, text) == []
    return True, errors(RULES, text) == []


def test_a_good_rule_is_taken_by_both() -> None:
    assert both(GOOD, LIMIT) == (True, True)


@pytest.mark.parametrize("rule", BAD.values(), ids=BAD)
def test_a_bad_rule_is_refused_by_both(rule: Any) -> None:
    assert both(rule) == (False, False)


@pytest.mark.parametrize("limit", [{**LIMIT, "stricter": "smaller"}, {**LIMIT, "unit": "V"}])
def test_a_bad_limit_is_refused_by_both(limit: Any) -> None:
    assert both(GOOD, limit) == (False, False)


@pytest.mark.parametrize("examples", ["never-on: {kept: as it is}", "never-on: {kept: as it is, broken: []}",
                                      "never-on: {kept: as it is, broken: as it is, bent: as it is}",
                                      "never-on: {kept: as it is, broken: {leave: [steps.x]}}", "NeverOn: {}"])
def test_bad_examples_do_not_fit(examples: str) -> None:
    assert errors(RULES, examples) != []


@pytest.mark.parametrize("policy", ["policy: x\ntopix: {}", "policy: x\nfails_from: PERIL", "topics: {}", "policy: []",
                                    "policy: x\nmay_accept: [{whom: y}]"])
def test_a_bad_policy_does_not_fit(policy: str) -> None:
    assert errors(POLICY, policy) != []


@pytest.mark.parametrize("policy", ["policy: x\nfails_from: NOTICE", "policy: x\nfails_from: {value: WARNING, reason: y}"])
def test_a_decision_can_stand_with_or_without_its_reason(policy: str) -> None:
    assert errors(POLICY, policy) == []


@pytest.mark.parametrize("schema", [RULES_SCHEMA, POLICY_SCHEMA], ids=["rules", "policy"])
def test_every_key_is_explained(schema: Any) -> None:
    records = {**schema["$defs"], "top": schema["then"]}
    assert [(name, key) for name, about in records.items() for key, told in about.get("properties", {}).items()
            if len(told.get("description", "")) < 8] == []
