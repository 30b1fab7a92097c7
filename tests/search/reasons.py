"""Serious rules for which no plan is kept that does harm and that only they stop, and why they stay."""

from __future__ import annotations

SECOND_LINE = "a second line"
SILENT = "a silent safeguard"
FOUND_BEFORE = "finds before what another contains"
NOT_PLAYED = "not played by the model"
NOT_FOUND = "not found yet"

WHY: dict[str, str] = {
    SECOND_LINE: "What it prevents is also contained by something else that the rules ask for (isolation, a residual current "
                 "device, a fuse, the lamp, somebody who watches), which may fail itself: two faults, where one is played.",
    SILENT: "It proves a safeguard whose failing does nothing by itself, and so is not noticed until it is needed.",
    FOUND_BEFORE: "It finds a fault before power that lamp, fuse or stop would contain once it shows.",
    NOT_PLAYED: "The model has no law for what it prevents: a second person, reach, categories of meters, wear, handling.",
    NOT_FOUND: "A plan of this kind should exist; the search has not come across it.",
}

REASONS: dict[str, str] = {}
"""The name of the rule, and one of WHY."""
