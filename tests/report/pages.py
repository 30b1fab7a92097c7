"""Pages for the tests, and their elements as a strict reader of HTML finds them."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import date
from functools import cache
from pathlib import Path
from xml.etree.ElementTree import Element

import html5lib

from auditor.plan.files import PlanText
from auditor.report.page.page import page
from auditor.report.result import Result, collected
from auditor.review.run import Reviewed, review_file, review_text, summed_up
from auditor.rulebook.load import load_rulebook
from auditor.rulebook.rule import Rulebook

ROOT = Path(__file__).resolve().parents[2]
TODAY = date(2026, 11, 20)
MARKUP = "<script>document.title='taken'</script><img src=x onerror=\"document.title='taken'\"></title></style>&amp;"
TURNED = "\u202eright to left"
HOSTILE = f"""\
procedure: {{title: {json.dumps(MARKUP + TURNED, ensure_ascii=False)}, purpose: first power-up}}
mains: {{voltage: 120 V, frequency: 60 Hz}}
set:
  power_supply: transformer
  rated_voltage: 117 V
  rated_power: 45..55 W
  filter_capacitors: [{{name: {json.dumps("C1" + MARKUP)}}}]
bench:
  chain:
    - outlet
    - other_load: {{description: {json.dumps(MARKUP)}}}
    - autotransformer: {{output: 0..140 V}}
    - limiter: {{lamp: {{power: 60 W, voltage: 120 V, kind: clear filament}}, bypass: open}}
    - set
stop: {{if: [{json.dumps(MARKUP)}], then: [{{switch_off: outlet}}]}}
steps:
  - {{observe: {json.dumps(MARKUP)}, note: {json.dumps(MARKUP + "w" * 400)}, expect: {json.dumps(MARKUP)}, otherwise: stop}}
  - plug_in: set
  - switch_on: outlet
  - switch_on: set
  - {{set_dial: 60 V, hold: 1 min}}
"""
"""A plan whose every text would like to be part of the page."""


@cache
def rulebook() -> Rulebook:
    return load_rulebook()


@cache
def reviewed(name: str) -> Reviewed:
    """The review of a procedure of the club, the first of its file."""
    return next(iter(review_file(str(ROOT / "procedures" / name), rulebook(), TODAY)))


@cache
def hostile() -> Reviewed:
    return review_text(PlanText("<b>plan</b>.yaml", HOSTILE), rulebook(), TODAY)


@cache
def result(name: str) -> Result:
    """Everything about a procedure of the club."""
    found = reviewed(name)
    assert found.audit is not None
    return collected(found, found.audit)


def page_of(*reviews: Reviewed) -> str:
    return page(reviews, summed_up(reviews, "CAUTION"))


@cache
def page_named(name: str) -> str:
    """The page of a procedure of the club."""
    return page_of(reviewed(name))


def read(text: str) -> Element:
    """The page as a tree. Raises where it is not good HTML."""
    tree = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(text)
    assert isinstance(tree, Element)
    return tree


def name(element: Element) -> str:
    """What kind of element it is, without its name space."""
    return str(element.tag).rpartition("}")[2]


def all_named(tree: Element, *names: str) -> Iterator[Element]:
    return (element for element in tree.iter() if name(element) in names)


def with_id(tree: Element, key: str) -> Element:
    (found,) = (element for element in tree.iter() if element.get("id") == key)
    return found


def addresses(element: Element) -> list[str]:
    """Where the links in an element lead."""
    return [link.get("href", "") for link in all_named(element, "a")]


def words(element: Element) -> str:
    """The text of an element with single blanks."""
    return " ".join("".join(element.itertext()).split())
