"""Search for hours:  python -m tests.search --hours 2 --seed 1 --state search.json

Goes on with the state file where there is one. Prints what was tried and every clean plan that does harm.
"""

from __future__ import annotations

import argparse
import os
import time
from pathlib import Path

from tests.search.search import Search, begun, gone_on_with
from tests.search.seeds import seeds, shortened

ROUND = 200


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.search", description="Look for a clean plan that hurts somebody.")
    parser.add_argument("--hours", type=float, default=0.1)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--state", type=Path, help="kept after every round, and gone on with")
    asked = parser.parse_args()
    search = gone_on_with(asked.state) if asked.state and asked.state.exists() else begun(
        asked.seed, (*seeds(), *map(shortened, seeds())))
    begun_at, before = time.monotonic(), search.audited
    while time.monotonic() - begun_at < 3600 * asked.hours:
        known = set(search.found)
        search.round(ROUND)
        _report(search, known, (search.audited - before) / (time.monotonic() - begun_at))
        if asked.state:
            _save(search, asked.state)


def _report(search: Search, known: set[str], rate: float) -> None:
    print(f"{search.audited} audited ({rate:.0f} a second), {search.clean} clean, {search.nearly} nearly clean, "
          f"{len(search.found)} kinds of harm", flush=True)
    for key in search.found.keys() - known:
        found = search.found[key]
        print(f"--- {key}: {found.says} (step {found.step})\n{found.text}", flush=True)


def _save(search: Search, file: Path) -> None:
    """Whole or not at all."""
    beside = file.with_name(file.name + ".new")
    beside.write_text(search.written(), encoding="utf-8")
    os.replace(beside, file)


if __name__ == "__main__":
    main()
