"""What an audit costs, in ratios taken within one run:  python tests/benchmarks/audit_speed.py

    process   `auditor audit` of one plan of some 40 steps against `python -c pass`, run in turn: median of the ratios
              of processor time, reach at most 20
    audits    reviews of that plan, read and replayed, on one core: reach at least 500 a second
    writing   the largest share of a whole run on all example plans, rules loaded and plans reviewed, that any form of
              the report takes to write: reach at most a half
    memory    the largest resident size of the process: reach under 120 MB
"""

from __future__ import annotations

import os
import resource
import statistics
import subprocess
import sys
import time
from datetime import date
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PLAN = ROOT / "procedures" / "five-tube-series-heaters.yaml"
TURNS = 15
SECONDS = 3.0


def child_seconds(command: list[str]) -> float:
    """Processor time of one run of a command [s]."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(command, stdout=subprocess.DEVNULL, check=False, cwd=ROOT)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def process_ratio() -> tuple[float, float, float]:
    """Median processor times of an audit and of a bare interpreter [s], and the median of their ratios in turn."""
    audit, bare = [], []
    command = [sys.executable, "-m", "auditor", "audit", str(PLAN)]
    child_seconds(command)
    for _ in range(TURNS):
        bare.append(child_seconds([sys.executable, "-c", "pass"]))
        audit.append(child_seconds(command))
    ratios = [a / b for a, b in zip(audit, bare, strict=True)]
    return statistics.median(audit), statistics.median(bare), statistics.median(ratios)


def audits_per_second() -> tuple[int, float]:
    """Steps of the plan after expansion, and reviews a second of the plan, read and replayed."""
    from auditor.bench.facts import replayed
    from auditor.plan.read import read_plan
    from auditor.review.review import review_replayed
    from auditor.rulebook.load import load_rulebook

    rulebook, plan = load_rulebook(), read_plan(PLAN.read_text(encoding="utf-8"))
    trace, today, count = replayed(plan), date(2026, 11, 20), 0
    begun = time.process_time()
    while time.process_time() - begun < SECONDS:
        review_replayed(trace, rulebook, today)
        count += 1
    return len(plan.steps), count / (time.process_time() - begun)


def writing_share() -> tuple[str, float]:
    """The form of report that takes the largest share of a run to write, and that share in processor time."""
    from auditor.plan.files import files_under
    from auditor.report.forms import Form, report_lines
    from auditor.report.style import Style
    from auditor.review.run import review_file, summed_up
    from auditor.rulebook.load import load_rulebook

    begun = time.process_time()
    rulebook, today = load_rulebook(), date(2026, 11, 20)
    reviews = [each for file in files_under([str(PLAN.parent)]) for each in review_file(file, rulebook, today)]
    before, summary, shares = time.process_time() - begun, summed_up(reviews), {}
    for form in (Form.text, Form.markdown, Form.json, Form.sarif, Form.sarif_levels):
        begun = time.process_time()
        "".join(report_lines(form, reviews, summary, rulebook, Style()))
        writing = time.process_time() - begun
        shares[form.value] = writing / (before + writing)
    return max(shares.items(), key=lambda each: each[1])


def peak_megabytes() -> float:
    """The largest resident size of one audit process [MB]."""
    program = ("import resource, sys; from typer.testing import CliRunner; from auditor.cli import app; "
               f"CliRunner().invoke(app, ['audit', {str(PLAN)!r}]); "
               "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)")
    size = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True, cwd=ROOT,
                          env={**os.environ, "PYTHONPATH": str(ROOT)}).stdout
    return int(size) / (1024 if sys.platform != "darwin" else 1024 * 1024)


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    os.environ["PYTHONPATH"] = str(ROOT)
    audit, bare, ratio = process_ratio()
    print(f"process   {1000 * audit:.0f} ms against {1000 * bare:.1f} ms bare: {ratio:.1f} times (reach 20)")
    steps, rate = audits_per_second()
    print(f"audits    {rate:.0f} a second of a plan of {steps} steps (reach 500)")
    form, share = writing_share()
    print(f"writing   {share:.0%} of a run at most, as {form} (reach 50 %)")
    print(f"memory    {peak_megabytes():.0f} MB (reach 120)")
