"""Examples of "YAML Ain't Markup Language, version 1.2.2" (1 October 2021), copied with their numbers.

Looked up in the text of the specification, 8.19 from memory. It gives each example's meaning in canonical
form or in words; here every scalar is expected as its text, and None where the specification has null.
Examples with people's names are left out.
"""

import pytest

from auditor.plan.place import Data
from auditor.plan.problems import Unreadable
from auditor.plan.yaml_text import parse_yaml

ALLOWED: dict[str, tuple[str, Data]] = {
    "2.2 Mapping Scalars to Scalars": (
        "hr:  65    # Home runs\navg: 0.278 # Batting average\nrbi: 147   # Runs Batted In\n",
        {"hr": "65", "avg": "0.278", "rbi": "147"},
    ),
    "2.12 Compact Nested Mapping": (
        (
            "---\n# Products purchased\n- item    : Super Hoop\n  quantity: 1\n"
            "- item    : Basketball\n  quantity: 4\n"
            "- item    : Big Shoes\n  quantity: 1\n"
        ),
        [
            {"item": "Super Hoop", "quantity": "1"},
            {"item": "Basketball", "quantity": "4"},
            {"item": "Big Shoes", "quantity": "1"},
        ],
    ),
    "2.18 Multi-line Flow Scalars": (
        (
            "plain:\n  This unquoted scalar\n  spans many lines.\n\n"
            'quoted: "So does this\n  quoted scalar.\\n"\n'
        ),
        {"plain": "This unquoted scalar spans many lines.", "quoted": "So does this quoted scalar.\n"},
    ),
    "2.19 Integers": (
        "canonical: 12345\ndecimal: +12345\noctal: 0o14\nhexadecimal: 0xC\n",
        {"canonical": "12345", "decimal": "+12345", "octal": "0o14", "hexadecimal": "0xC"},
    ),
    "2.20 Floating Point": (
        (
            "canonical: 1.23015e+3\nexponential: 12.3015e+02\nfixed: 1230.15\n"
            "negative infinity: -.inf\nnot a number: .NaN\n"
        ),
        {
            "canonical": "1.23015e+3",
            "exponential": "12.3015e+02",
            "fixed": "1230.15",
            "negative infinity": "-.inf",
            "not a number": ".NaN",
        },
    ),
    "2.21 Miscellaneous": (
        "null:\nbooleans: [ true, false ]\nstring: '012345'\n",
        {"null": None, "booleans": ["true", "false"], "string": "012345"},
    ),
    "2.22 Timestamps": (
        (
            "canonical: 2001-12-15T02:59:43.1Z\niso8601: 2001-12-14t21:59:43.10-05:00\n"
            "spaced: 2001-12-14 21:59:43.10 -5\n"
            "date: 2002-12-14\n"
        ),
        {
            "canonical": "2001-12-15T02:59:43.1Z",
            "iso8601": "2001-12-14t21:59:43.10-05:00",
            "spaced": "2001-12-14 21:59:43.10 -5",
            "date": "2002-12-14",
        },
    ),
    "7.1 Alias Nodes": (
        (
            "First occurrence: &anchor Foo\nSecond occurrence: *anchor\n"
            "Override anchor: &anchor Bar\nReuse anchor: *anchor\n"
        ),
        {
            "First occurrence": "Foo",
            "Second occurrence": "Foo",
            "Override anchor": "Bar",
            "Reuse anchor": "Bar",
        },
    ),
    "7.4 Double Quoted Implicit Keys": (
        '"implicit block key" : [\n  "implicit flow key" : value,\n ]\n',
        {"implicit block key": [{"implicit flow key": "value"}]},
    ),
    "7.7 Single Quoted Characters": ("'here''s to \"quotes\"'\n", 'here\'s to "quotes"'),
    "7.18 Flow Mapping Adjacent Values": (
        '{\n"adjacent":value,\n"readable": value,\n"empty":\n}\n',
        {"adjacent": "value", "readable": "value", "empty": None},
    ),
    "7.19 Single Pair Flow Mappings": ("[\nfoo: bar\n]\n", [{"foo": "bar"}]),
    "7.20 Single Pair Explicit Entry": ("[\n? foo\n bar : baz\n]\n", [{"foo bar": "baz"}]),
    "7.23 Flow Content": (
        "- [ a, b ]\n- { a: b }\n- \"a\"\n- 'b'\n- c\n",
        [["a", "b"], {"a": "b"}, "a", "b", "c"],
    ),
    "8.1 Block Scalar Header": (
        (
            "- | # Empty header\n literal\n- >1 # Indentation indicator\n  folded\n"
            "- |+ # Chomping indicator\n keep\n\n"
            "- >1- # Both indicators\n  strip\n"
        ),
        ["literal\n", " folded\n", "keep\n\n", " strip"],
    ),
}

REFUSED = {
    "2.13 In literals, newlines are preserved": (
        "# ASCII Art\n--- |\n  \\//||\\/||\n  // ||  ||__\n",
        "one block",
    ),
    "2.24 Global Tags": ("%TAG ! tag:example.com,2002:\n--- !shape\n- !circle\n  radius: 7\n", "directive"),
    "2.28 Log File": (
        "---\nUser: ed\nWarning:\n  This is an error message\n---\nUser: ed\n",
        "second document",
    ),
    "7.2 Empty Content": ("{\n  foo : !!str,\n  !!str : bar,\n}\n", "tag"),
    "7.3 Completely Empty Flow Nodes": ("{\n  ? foo :,\n  : bar,\n}\n", "colon"),
    "7.22 Invalid Implicit Keys": ("[ foo\n bar: invalid ]\n", "not closed"),
    "8.19 Compact Block Mappings": ("- sun: yellow\n- ? earth: blue\n  : moon: white\n", "one text"),
}


@pytest.mark.parametrize("pure", [False, True], ids=["C", "Python"])
@pytest.mark.parametrize(("text", "data"), ALLOWED.values(), ids=ALLOWED.keys())
def test_an_example_means_what_the_specification_says(text: str, data: Data, pure: bool) -> None:
    assert parse_yaml(text, pure=pure).data == data


@pytest.mark.parametrize("pure", [False, True], ids=["C", "Python"])
@pytest.mark.parametrize(("text", "said"), REFUSED.values(), ids=REFUSED.keys())
def test_an_example_beyond_what_a_plan_needs_is_refused(text: str, said: str, pure: bool) -> None:
    """7.22 is an error in the specification too; the others are YAML that this reader leaves out.

    2.24, 2.28 and 7.22 are shortened here.
    """
    with pytest.raises(Unreadable, match=said):
        parse_yaml(text, pure=pure)
