"""The house: which package may use which, and that everything in it can be loaded."""

from __future__ import annotations

import ast
import importlib
import pkgutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

import auditor

ROOT = Path(auditor.__file__).parent.parent
MODULES = sorted(found.name for found in pkgutil.walk_packages(auditor.__path__, "auditor."))
SETTINGS = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
CONTRACTS = SETTINGS["tool"]["importlinter"]["contracts"]
LAYERS = [[part.strip() for part in layer.split("|")] for layer in CONTRACTS[0]["layers"]]
"""The packages from the top down; those of one layer know nothing of each other."""


def imported(module: str) -> set[str]:
    """The packages of this project that a module imports, anywhere in it."""
    source = Path(importlib.import_module(module).__file__ or "").read_text(encoding="utf-8")
    used: set[str] = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.ImportFrom):
            used |= {f"{node.module}.{alias.name}" for alias in node.names}
        elif isinstance(node, ast.Import):
            used |= {alias.name for alias in node.names}
    return {name.split(".")[1] for name in used if name.startswith("auditor.")}


def test_the_contracts_between_the_packages_are_kept() -> None:
    pytest.importorskip("importlinter", reason="import-linter is not installed")
    ran = subprocess.run([sys.executable, "-c", "from importlinter.cli import lint_imports_command; lint_imports_command()",
                          "--no-cache"], cwd=ROOT, capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stdout + ran.stderr
    assert f"{len(CONTRACTS)} kept, 0 broken" in ran.stdout


def test_the_layers_name_every_part_of_the_package_once() -> None:
    parts = {name.split(".")[1] for name in MODULES}
    assert sorted(parts) == sorted(part for layer in LAYERS for part in layer)


@pytest.mark.parametrize("module", [name for name in MODULES if name.startswith("auditor.whatif")])
def test_what_can_go_wrong_is_found_without_the_rules(module: str) -> None:
    assert imported(module) <= {"whatif", "bench", "plan", "logic"}


@pytest.mark.parametrize("module", [name for name in MODULES if name.startswith(("auditor.rulebook", "auditor.review"))])
def test_the_rules_are_judged_without_what_can_go_wrong(module: str) -> None:
    assert "whatif" not in imported(module)


@pytest.mark.parametrize("module", [name for name in MODULES if name.startswith("auditor.logic.")])
def test_the_logic_uses_nothing_of_the_rest(module: str) -> None:
    assert imported(module) <= {"logic"}


@pytest.mark.parametrize("module", [name for name in MODULES if name != "auditor.__main__"])
def test_every_module_says_what_it_holds(module: str) -> None:
    assert (importlib.import_module(module).__doc__ or "").strip()


@pytest.mark.parametrize("module", MODULES)
def test_no_module_is_longer_than_can_be_kept_in_mind(module: str) -> None:
    spec = importlib.util.find_spec(module)
    assert spec is not None
    assert spec.origin is not None
    assert len(Path(spec.origin).read_text(encoding="utf-8").splitlines()) <= 400


def test_every_name_that_the_package_offers_is_there() -> None:
    assert [name for name in auditor.__all__ if not hasattr(auditor, name)] == []
