"""From tokens to a checked formula, by precedence."""

from __future__ import annotations

import re
from collections.abc import Callable
from difflib import get_close_matches

from auditor.logic.dimension import DIMENSIONS, Dimension
from auditor.logic.kinds import NumberKind, TruthKind, Vocabulary, WordKind, nearest
from auditor.logic.nodes import (
    And,
    Arithmetic,
    Comparison,
    Fact,
    Implies,
    IsWord,
    Negative,
    Node,
    Not,
    Number,
    Or,
    SameWord,
    Stated,
    Temporal,
)
from auditor.logic.operators import OPERATORS, Bound, Operator
from auditor.logic.quantity import QuantityError, parse_quantity
from auditor.logic.tokens import ExpressionError, Token, tokens_of
from auditor.logic.units import UNITS, base_unit

MOST_NODES = 400
"""Parts that an expression may have."""

DEEPEST = 40
"""How deep its parts may be nested."""

_KEYWORDS = frozenset({"and", "or", "not", "is", "within"})
_COMPARISONS = frozenset({"<=", "<", ">=", ">"})
_WORD = re.compile(r"[A-Za-z0-9_.]+(?:-[A-Za-z0-9_.]+)*")
_NUMBER = DIMENSIONS["number"]
_TIME = DIMENSIONS["time"]


class Parser:
    """Reads one text. Loosest first: `->`, `or`, `and`, `not`, comparison, `+ -`, `* /`, sign, call."""

    def __init__(self, text: str, vocabulary: Vocabulary) -> None:
        self._text = text
        self._vocabulary = vocabulary
        self._tokens = tokens_of(text)
        self._at = 0
        self._token = self._tokens[0]
        self._nodes = 0
        self._depth = 0

    def formula(self) -> Node:
        """The whole text as one node, whatever its kind. Raises ExpressionError."""
        node = self._implication()
        token = self._token
        if token.sort != "end":
            raise ExpressionError(f"`{token.text}` does not follow from what stands before it", token.column)
        return node

    # Tokens

    def _pass(self, count: int = 1) -> None:
        self._at += count
        self._token = self._tokens[self._at]

    def _take(self, *texts: str) -> Token | None:
        """The token here, passed over, if it is one of these signs or words."""
        token = self._token
        if token.text not in texts or token.sort not in ("sign", "name"):
            return None
        self._pass()
        return token

    def _expect(self, sign: str, purpose: str) -> None:
        if not self._take(sign):
            found = f"`{self._token.text}`" if self._token.text else "the end"
            raise ExpressionError(f"`{sign}` is expected {purpose}, not {found}", self._token.column)

    def _deeper(self, parse: Callable[[], Node]) -> Node:
        self._depth += 1
        if self._depth > DEEPEST:
            raise ExpressionError(f"the parts are nested more than {DEEPEST} deep", self._token.column)
        node = parse()
        self._depth -= 1
        return node

    def _built(self, node: Node) -> Node:
        self._nodes += 1
        if self._nodes > MOST_NODES:
            raise ExpressionError(f"the expression has more than {MOST_NODES} parts", node.column)
        if node.height > DEEPEST:
            raise ExpressionError(f"the parts are nested more than {DEEPEST} deep", node.column)
        return node

    # Truths

    def _implication(self) -> Node:
        left = self._joined("or", Or, lambda: self._joined("and", And, self._negation))
        if not self._take("->"):
            return left
        right = self._deeper(self._implication)
        return self._built(Implies(left.column, as_truth(left), as_truth(right)))

    def _joined(self, word: str, make: type[And] | type[Or], operand: Callable[[], Node]) -> Node:
        operands = [operand()]
        while self._take(word):
            operands.append(operand())
        if len(operands) == 1:
            return operands[0]
        return self._built(make(operands[0].column, tuple(as_truth(each) for each in operands)))

    def _negation(self) -> Node:
        if token := self._take("not"):
            return self._built(Not(token.column, as_truth(self._deeper(self._negation))))
        return self._comparison()

    def _comparison(self) -> Node:
        left = self._sum()
        if self._take("is"):
            return self._is(left)
        if not (sign := self._take(*_COMPARISONS)):
            return left
        right = self._sum()
        self._same_dimension(left, right, "compared")
        if again := self._take(*_COMPARISONS):
            raise ExpressionError("compare two numbers at a time, and join the comparisons with `and`", again.column)
        return self._built(Comparison(left.column, sign.text, left, right))

    # Words

    def _is(self, left: Node) -> Node:
        if not isinstance(left, Fact) or not isinstance(left.kind, WordKind):
            advice = "compare numbers with `<=`, `<`, `>=` or `>`" if isinstance(left.kind, NumberKind) else "write it alone"
            raise ExpressionError(f"`is` asks for a word, but {_shown(left)} is {left.kind}: {advice}", left.column)
        negated = self._take("not")
        node = self._one_of(left) or self._word_or_fact(left)
        return self._built(Not(left.column, node)) if negated else node

    def _one_of(self, fact: Fact) -> Node | None:
        following = [token.text for token in self._tokens[self._at : self._at + 3]]
        if following != ["one", "of", "("]:
            return None
        self._pass(3)
        words = [self._declared_word(fact)]
        while self._take(","):
            words.append(self._declared_word(fact))
        self._expect(")", "after the words")
        return self._built(IsWord(fact.column, fact, tuple(sorted(set(words)))))

    def _word_or_fact(self, left: Fact) -> Node:
        token = self._token
        kind = self._vocabulary.get(token.text)
        if token.sort != "name" or not isinstance(kind, WordKind) or token.text in _words(left):
            return self._built(IsWord(left.column, left, (self._declared_word(left),)))
        self._pass()
        if not set(_words(left)) & set(kind.words):
            raise ExpressionError(f"`{left.name}` and `{token.text}` have no word in common", token.column)
        right = self._built(Fact(token.column, token.text, kind))
        assert isinstance(right, Fact)
        return self._built(SameWord(left.column, left, right))

    def _declared_word(self, fact: Fact) -> str:
        token = self._token
        word = self._word(fact)
        if word in _words(fact):
            return word
        known = ", ".join(_words(fact))
        longer = next((each for each in _words(fact) if self._text.startswith(each, token.column - 1)), None)
        suggestion = f'"{longer}"' if longer else nearest(word, _words(fact))
        raise ExpressionError(f"`{fact.name}` is never `{word}`; it is one of: {known}", token.column, suggestion)

    def _word(self, fact: Fact) -> str:
        """The word here: quoted, or bare with hyphens (which are signs anywhere else)."""
        token = self._token
        if token.sort == "quoted":
            self._pass()
            return token.text[1:-1]
        bare = _WORD.match(self._text, token.column - 1)
        if bare is None or token.text in _KEYWORDS:
            known = ", ".join(_words(fact))
            raise ExpressionError(f"`is` needs a word after it, one of: {known}", token.column)
        while self._token.sort != "end" and self._token.column <= bare.end():
            self._pass()
        return bare.group()

    # Numbers

    def _sum(self) -> Node:
        left = self._product()
        while sign := self._take("+", "-"):
            right = self._product()
            dimension = self._same_dimension(left, right, "added" if sign.text == "+" else "subtracted")
            left = self._built(Arithmetic(left.column, sign.text, left, right, dimension))
        return left

    def _product(self) -> Node:
        left = self._signed()
        while sign := self._take("*", "/"):
            right = self._signed()
            mine, yours = _dimension(left), _dimension(right)
            dimension = mine * yours if sign.text == "*" else mine / yours
            left = self._built(Arithmetic(left.column, sign.text, left, right, dimension))
        return left

    def _signed(self) -> Node:
        if token := self._take("-"):
            operand = self._deeper(self._signed)
            _dimension(operand)
            return self._built(Negative(token.column, operand))
        return self._atom()

    def _same_dimension(self, left: Node, right: Node, done: str) -> Dimension:
        mine, yours = _dimension(left), _dimension(right)
        if mine == yours:
            return mine
        unit = base_unit(mine)
        bare = isinstance(right, Number) and yours == _NUMBER and unit
        raise ExpressionError(
            f"{_shown(left)} is {mine} and {_shown(right)} is {yours}: they cannot be {done}",
            right.column,
            f"{right.canonical} {unit}" if bare else None,
        )

    # Atoms

    def _atom(self) -> Node:
        token = self._token
        if token.sort == "number":
            return self._number()
        if token.sort == "name" and token.text not in _KEYWORDS:
            self._pass()
            return self._call(token) if self._take("(") else self._fact(token)
        if self._take("("):
            node = self._deeper(self._implication)
            self._expect(")", f"to close the parenthesis at column {token.column}")
            return node
        found = f"`{token.text}` stands" if token.text else "the text ends"
        raise ExpressionError(f"{found} where a fact, a number or a parenthesis is expected", token.column)

    def _number(self) -> Node:
        first = self._token
        dimension, end = _NUMBER, first.end
        while self._token.sort == "number":
            self._pass()
            token = self._token
            end = self._tokens[self._at - 1].end
            if (token.sort == "name" and token.text not in _KEYWORDS) or token.text == "%":
                if token.text not in UNITS:
                    letters = next((unit for unit in UNITS if unit.lower() == token.text.lower()), None)
                    suggestion = letters or next(iter(get_close_matches(token.text, filter(str.isascii, UNITS), 1)), None)
                    raise ExpressionError(f"no unit is spelled `{token.text}`", token.column, suggestion)
                dimension, end = UNITS[token.text].dimension, token.end
                self._pass()
        try:
            value = parse_quantity(self._text[first.column - 1 : end - 1], dimension)
        except QuantityError as error:
            raise ExpressionError(error.message, first.column, error.suggestion) from None
        return self._built(Number(first.column, value.low, dimension))

    def _fact(self, token: Token) -> Node:
        kind = self._vocabulary.get(token.text)
        if kind is None:
            if token.text in OPERATORS or token.text == "stated":
                raise ExpressionError(f"`{token.text}` needs what it speaks of in parentheses", token.column)
            raise ExpressionError(f"nothing is called `{token.text}`", token.column, nearest(token.text, self._vocabulary))
        return self._built(Fact(token.column, token.text, kind))

    def _call(self, name: Token) -> Node:
        if name.text == "stated":
            fact = self._deeper(self._implication)
            if not isinstance(fact, Fact):
                raise ExpressionError("`stated` asks about one fact: write `stated(fact)`", fact.column)
            self._expect(")", "after the fact")
            return self._built(Stated(name.column, fact))
        operator = OPERATORS.get(name.text)
        if operator is None:
            known = [*OPERATORS, "stated"]
            raise ExpressionError(f"no operator is called `{name.text}`", name.column, nearest(name.text, known))
        operands = [as_truth(self._deeper(self._implication))]
        while len(operands) < len(operator.signs):
            self._expect(",", f"here: write `{operator.form}`")
            operands.append(as_truth(self._deeper(self._implication)))
        bound = self._bound(operator)
        self._expect(")", f"here: write `{operator.form}`")
        return self._built(Temporal(name.column, name.text, tuple(operands), bound))

    def _bound(self, operator: Operator) -> Node | None:
        if operator.bound is Bound.NONE or (operator.bound is Bound.WITHIN and self._token.text != ","):
            return None
        self._expect(",", f"here: write `{operator.form}`")
        if operator.bound is Bound.WITHIN:
            self._expect("within", f"here: write `{operator.form}`")
        bound = self._deeper(self._sum)
        if _dimension(bound) != _TIME:
            raise ExpressionError(f"{_shown(bound)} is {bound.kind}; the bound is a time, such as `10 min`", bound.column)
        return bound


def _words(fact: Fact) -> tuple[str, ...]:
    assert isinstance(fact.kind, WordKind)
    return fact.kind.words


def _shown(node: Node) -> str:
    return f"`{node.canonical}`"


def as_truth(node: Node) -> Node:
    """The node, if it is a truth. Raises ExpressionError, with what to write, if it is a word or a number."""
    match node.kind:
        case TruthKind():
            return node
        case WordKind(words):
            suggestion = f'{node.canonical} is "{words[0]}"' if " " in words[0] else f"{node.canonical} is {words[0]}"
            raise ExpressionError(f"{_shown(node)} is a word: say which, with `is`", node.column, suggestion)
        case kind:
            raise ExpressionError(f"{_shown(node)} is {kind}: compare it with something", node.column)


def _dimension(node: Node) -> Dimension:
    if isinstance(node.kind, NumberKind):
        return node.kind.dimension
    raise ExpressionError(f"{_shown(node)} is {node.kind}, where a number is expected", node.column)
