"""What an audit costs, in ratios taken within one run:  python tests/benchmarks/audit_speed.py

    process   `auditor audit` of one plan under no policy against `python -c pass`, run in turn, both with their bytecode
              at hand as after an installation: median of the ratios of processor time, reach at most 26
    rulebook  what loading the rules adds to such a process: reach at most 60 ms
    audits    reviews of the first 40 steps of that plan, read and replayed, on one core: with all readings yet to be
              predicted, reach at least 40 a second; with the readings at hand, reach at least 300
    writing   the largest share of a whole run on all example plans, rules loaded and plans reviewed, that any form of
              the report takes to write: reach at most a half
    memory    the largest resident size of the process: reach under 120 MB
"""

from __future__ import annotations

import os
import resource
import shutil
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

from msgspec.structs import replace

ROOT = Path(__file__).resolve().parents[2]
PLAN = ROOT / "procedures" / "five-tube-series-heaters.yaml"
TURNS = 15
STEPS = 40
LOADING = """\
import auditor.review.run, time
from auditor.cli import app
from auditor.rulebook.load import load_rulebook
app(["--version"], standalone_mode=False)
begun = time.process_time()
load_rulebook()
print(time.process_time() - begun)
"""


def child_seconds(command: list[str], env: dict[str, str]) -> float:
    """Processor time of one run of a command [s]."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(command, stdout=subprocess.DEVNULL, check=False, env=env)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def process_ratio() -> tuple[float, float, float, float]:
    """Median processor times of an audit and of a bare interpreter [s], the median of their ratios in turn, and the least
    processor time of loading the rules [s]."""
    audit, bare, loading = [], [], []
    with TemporaryDirectory() as folder:
        env = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
        env["PYTHONPYCACHEPREFIX"] = str(Path(folder) / "bytecode")
        command = [sys.executable, "-m", "auditor", "audit", shutil.copy(PLAN, folder)]
        child_seconds(command, env)
        for _ in range(TURNS):
            bare.append(child_seconds([sys.executable, "-c", "pass"], env))
            audit.append(child_seconds(command, env))
            loaded = subprocess.run([sys.executable, "-c", LOADING], capture_output=True, text=True, check=True, env=env)
            loading.append(float(loaded.stdout.split()[-1]))
    ratios = [a / b for a, b in zip(audit, bare, strict=True)]
    return statistics.median(audit), statistics.median(bare), statistics.median(ratios), min(loading)


def audits_per_second() -> tuple[float, float]:
    """Reviews a second of a plan, read and replayed: all readings yet to be predicted, and all at hand."""
    from auditor.bench.electrical import ranges
    from auditor.bench.facts import replayed
    from auditor.plan.read import read_plan
    from auditor.review.review import review_replayed
    from auditor.rulebook.load import load_rulebook

    rulebook, whole, today = load_rulebook(), read_plan(PLAN.read_text(encoding="utf-8")), date(2026, 11, 20)
    plan = replace(whole, steps=whole.steps[:STEPS])
    known = replayed(plan)

    def with_prediction() -> None:
        ranges.settled.cache_clear()
        review_replayed(replayed(plan), rulebook, today)

    def with_the_readings() -> None:
        review_replayed(known, rulebook, today)

    return 1 / least_seconds(with_prediction, 25), 1 / least_seconds(with_the_readings, 200)


def least_seconds(call: Callable[[], None], times: int) -> float:
    """The least processor time of a call [s]; whatever else the machine does can only make it longer."""
    turns = []
    for _ in range(times):
        begun = time.process_time()
        call()
        turns.append(time.process_time() - begun)
    return min(turns)


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
    audit, bare, ratio, loading = process_ratio()
    print(f"process   {1000 * audit:.0f} ms against {1000 * bare:.1f} ms bare: {ratio:.1f} times (reach 26)")
    print(f"rulebook  {1000 * loading:.0f} ms (reach 60)")
    predicting, known = audits_per_second()
    print(f"audits    of {STEPS} steps a second: {predicting:.0f} with prediction (reach 40), {known:.0f} with the readings "
          "at hand (reach 300)")
    form, share = writing_share()
    print(f"writing   {share:.0%} of a run at most, as {form} (reach 50 %)")
    print(f"memory    {peak_megabytes():.0f} MB (reach 120)")
