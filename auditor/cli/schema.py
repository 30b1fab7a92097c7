"""`auditor schema`: the JSON Schema of what is read and written."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Any

import typer

from auditor.cli.common import Output, stop, write


class Kind(StrEnum):
    """What there is a schema of."""

    plan = "plan"
    card = "card"
    rules = "rules"
    policy = "policy"
    report = "report"


class Form(StrEnum):
    """For an editor, or to be read."""

    json = "json"
    markdown = "markdown"


def schema(
    kind: Annotated[Kind, typer.Argument(
        help="A plan, a bench card, a rule file, a policy, or the report of `auditor audit --as json`.")] = Kind.plan,
    as_: Annotated[Form, typer.Option(
        "--as", help="JSON Schema for an editor; Markdown for a page of all keys of a plan and their words.")] = Form.json,
    output: Output = None,
) -> None:
    """The JSON Schema (draft 2020-12) of a file, with which an editor completes and explains its keys.

    \b
    For example:
      auditor schema --output plan.schema.json
      auditor schema rules --output rules.schema.json

    \b
    To look up what a plan may say:
      auditor schema --as markdown
    """
    if as_ is Form.json:
        write([_text(kind)], output)
        return
    if kind is not Kind.plan:
        stop("Only the keys of a plan are told as a page; leave `--as markdown` out for the JSON Schema.")
    from auditor.report.keys_page import keys_page_lines

    write(keys_page_lines(), output)


def _text(kind: Kind) -> str:
    match kind:
        case Kind.report:
            from auditor.report.as_json import SCHEMA

            return SCHEMA.read_text(encoding="utf-8").rstrip("\n")
        case Kind.plan | Kind.card:
            from auditor.plan.plan_schema import card_schema, plan_schema

            return _written(plan_schema() if kind is Kind.plan else card_schema())
        case Kind.rules | Kind.policy:
            from auditor.rulebook.rules_schema import policy_schema, rules_schema

            return _written(rules_schema() if kind is Kind.rules else policy_schema())


def _written(data: Any) -> str:
    import json

    return json.dumps(data, indent=2, ensure_ascii=False)
