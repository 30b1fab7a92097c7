"""What the index of a large wiki needs, taken in processes of their own:  python tests/benchmarks/index_memory.py

    memory    the largest resident size of `auditor index` over 1,000 plans: reach under 200 MB
    growth    how much of it comes with the plans, against an index of 50: what one row costs
    time      wall time, and plans a second
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PLANS = sorted(path for path in (ROOT / "procedures").glob("*.yaml")
               if not path.name.endswith((".card.yaml", "policy.yaml")))
CARDS = sorted((ROOT / "procedures").glob("*.card.yaml"))
FEW, MANY = 50, 1000
RUN = """
import resource, sys
from auditor.cli import app
sys.argv = ["auditor", "index", sys.argv[1], "--as", sys.argv[2], "--output", sys.argv[3]]
try:
    app()
finally:
    print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
"""


def wiki(folder: Path, plans: int) -> None:
    """A folder with so many plans, those of the club over and over."""
    for card in CARDS:
        (folder / card.name).write_bytes(card.read_bytes())
    for number in range(plans):
        (folder / f"plan-{number:04}.yaml").write_bytes(PLANS[number % len(PLANS)].read_bytes())


def run(plans: int, form: str) -> tuple[float, float, int]:
    """The largest resident size of an index of so many plans [MB], its wall time [s], and its rows."""
    with tempfile.TemporaryDirectory() as name:
        wiki(folder := Path(name), plans)
        output = folder / "index.out"
        begun = time.perf_counter()
        ran = subprocess.run([sys.executable, "-c", RUN, str(folder), form, str(output)], capture_output=True, check=False,
                             cwd=ROOT)
        took = time.perf_counter() - begun
        return float(ran.stdout), took, output.read_text(encoding="utf-8").count("plan-")


def main() -> None:
    for form in ("markdown", "html"):
        few, _, _ = run(FEW, form)
        many, took, rows = run(MANY, form)
        assert rows == MANY
        print(f"{form}: {many:.0f} MB over {MANY} plans (reach under 200), {few:.0f} MB over {FEW}, "
              f"{1024 * (many - few) / (MANY - FEW):.1f} kB a plan; {took:.0f} s, {MANY / took:.0f} plans a second")


if __name__ == "__main__":
    main()
