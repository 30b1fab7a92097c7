"""The model documents itself: every worked example holds, every argument is spoken of."""

from __future__ import annotations

import ast
import doctest
import importlib
import inspect
import pkgutil
import re
from itertools import pairwise
from types import FunctionType, ModuleType

import pytest

import auditor.bench.electrical as package

MODULES = [importlib.import_module(f"{package.__name__}.{found.name}") for found in pkgutil.iter_modules(package.__path__)]
UNSPOKEN = {"self", "table", "function"}
"""Arguments that need no unit."""
PLAIN = {"NOTHING", "NONE", "ROOM_TEMPERATURE"}
"""Constants that are another one in other clothes."""


def public_functions(module: ModuleType) -> list[FunctionType]:
    members = [member for name, member in vars(module).items() if not name.startswith("_")]
    return [m for m in members if inspect.isfunction(inspect.unwrap(m)) and m.__module__ == module.__name__]


FUNCTIONS = [pytest.param(function, id=f"{module.__name__.rsplit('.', 1)[1]}.{function.__name__}")
             for module in MODULES for function in public_functions(module)]


@pytest.mark.parametrize("module", MODULES, ids=lambda m: m.__name__.rsplit(".", 1)[1])
def test_every_worked_example_holds(module: ModuleType) -> None:
    assert doctest.testmod(module).failed == 0


@pytest.mark.parametrize("function", FUNCTIONS)
def test_every_argument_of_a_formula_is_spoken_of_in_its_docstring(function: FunctionType) -> None:
    text = (function.__doc__ or "") + (inspect.getmodule(function).__doc__ or "")
    for name in inspect.signature(function).parameters:
        if name not in UNSPOKEN:
            words = name.replace("_", "[ _]")
            assert re.search(rf"\b{words}", text, re.IGNORECASE), f"{name} is not spoken of"


@pytest.mark.parametrize("module", MODULES, ids=lambda m: m.__name__.rsplit(".", 1)[1])
def test_every_constant_says_what_it_is(module: ModuleType) -> None:
    body = ast.parse(inspect.getsource(module)).body
    for statement, following in pairwise([*body, ast.Pass()]):
        targets = statement.targets if isinstance(statement, ast.Assign) else [getattr(statement, "target", None)]
        for target in targets:
            if isinstance(target, ast.Name) and target.id.isupper() and target.id[0] != "_" and target.id not in PLAIN:
                said = isinstance(following, ast.Expr) and isinstance(following.value, ast.Constant)
                assert said, target.id
