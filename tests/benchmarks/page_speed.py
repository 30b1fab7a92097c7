"""What the page of a plan costs, on one core:  python tests/benchmarks/page_speed.py

    page     the whole command for a plan of 40 steps, from an empty process to the written file: at most 2 s
    layout   what of that the page takes once everything about the plan is known: for the record
    size     of the file: at most 2 MB
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from datetime import date
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PLAN = ROOT / "procedures" / "five-tube-series-heaters.yaml"
STEPS = 40
TURNS = 5


def plan_of_40_steps(folder: Path) -> Path:
    """The longest plan that stands alone, cut after the line with which it has 40 steps, stages counted."""
    from auditor.plan.read import read_plan

    text = PLAN.read_text(encoding="utf-8")
    plan = read_plan(text)
    after = plan.source.place(plan.steps[STEPS - 1].path).end_line
    cut = folder / "plan.yaml"
    cut.write_text("".join(text.splitlines(keepends=True)[:after]), encoding="utf-8")
    return cut


def best(run: object) -> float:
    """The shortest of several turns [s]."""
    assert callable(run)
    times = []
    for _ in range(TURNS):
        start = time.perf_counter()
        run()
        times.append(time.perf_counter() - start)
    return min(times)


def main() -> int:
    sys.path.insert(0, str(ROOT))
    from auditor.report.page import page as module
    from auditor.report.result import collected
    from auditor.review.run import review_file, summed_up
    from auditor.rulebook.load import load_rulebook

    with tempfile.TemporaryDirectory() as name:
        plan, out = plan_of_40_steps(Path(name)), Path(name) / "page.html"
        command = [sys.executable, "-m", "auditor", "audit", str(plan), "--as", "html", "--output", str(out)]
        whole = best(lambda: subprocess.run(command, cwd=ROOT, check=False))
        size = out.stat().st_size
        (reviewed,) = review_file(str(plan), load_rulebook(), date(2026, 11, 20))
    assert reviewed.audit is not None
    result = collected(reviewed, reviewed.audit)
    module.collected = lambda *told: result
    summary = summed_up([reviewed])
    layout = best(lambda: module.page([reviewed], summary))
    print(f"{len(result.moments)} steps: page {whole:.2f} s, of it layout {layout:.2f} s, size {size / 1e3:.0f} kB")
    return 0 if whole <= 2.0 and size <= 2e6 else 1


if __name__ == "__main__":
    sys.exit(main())
