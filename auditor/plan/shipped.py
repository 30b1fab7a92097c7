"""Where the data lies that comes with the program: rules, faults, lessons."""

from __future__ import annotations

from pathlib import Path


def rules_folder() -> Path:
    """The folder of the shipped rules: inside the installed package, or beside it in a checkout."""
    package = Path(__file__).resolve().parent.parent
    inside = package / "rules"
    return inside if inside.is_dir() else package.parent / "rules"
