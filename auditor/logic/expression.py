"""The language of rules: text in, checked formula out.

    always(energised -> isolated)
    set.chassis is not hot or once(proved.isolation, within 8 h)
    set.voltage <= 1.1 * set.rated_voltage

A formula reads declared facts and combines them; it calls nothing else, and its size is bounded. Names,
kinds, words, dimensions and units are checked here, so that no formula can fail when it is evaluated.
"""

from __future__ import annotations

from auditor.logic.kinds import TRUTH, Kind, NumberKind, TruthKind, Vocabulary, WordKind
from auditor.logic.nodes import Expression, Node, names_in
from auditor.logic.parser import Parser, as_truth
from auditor.logic.polarity import misplaced_stated, polarities
from auditor.logic.tokens import ExpressionError

__all__ = [
    "TRUTH", "Expression", "ExpressionError", "Kind", "NumberKind", "TruthKind", "Vocabulary", "WordKind",
    "names_in", "parse_expression", "polarities",
]  # fmt: skip


def parse_expression(text: str, vocabulary: Vocabulary, *, expects: Kind = TRUTH, trigger: bool = False) -> Expression:
    """Read a text as a formula over a vocabulary.

    `expects` is what it must be worth: a truth, a number of a dimension, or a word (of which only the kind
    counts). `trigger` says that it decides whether a rule applies; `stated(...)` is then welcome only where
    it is negated, since hiding a fact must never make an outcome better. Raises ExpressionError.
    """
    root = Parser(text, vocabulary).formula()
    if isinstance(expects, TruthKind):
        as_truth(root)
    elif not _fits(root, expects):
        raise ExpressionError(f"this is {root.kind}, where {expects} is expected", root.column)
    if "stated" in text and (misplaced := misplaced_stated(root, trigger=trigger)):
        raise ExpressionError(
            f"`{misplaced.canonical}` stands where leaving `{misplaced.fact.name}` out of a plan would"
            " improve the outcome; ask for it in what the rule requires, not in its condition",
            misplaced.column,
        )
    return Expression(text, root)


def _fits(root: Node, expected: Kind) -> bool:
    return root.kind == expected or (isinstance(expected, WordKind) and isinstance(root.kind, WordKind))
