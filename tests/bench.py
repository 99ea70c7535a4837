"""`make bench`: each row is a ratio against a floor that the same run measured, so that machines compare.

python -m tests.bench            every row
python -m tests.bench webhook    one row
"""

from __future__ import annotations

import sys
from collections.abc import Callable

from tests import bench_memory, bench_outlook, bench_pile, bench_reading, bench_recipe, bench_webhook
from tests.bench_row import Row, Skipped

ROWS: dict[str, Callable[[], Row]] = {
    "webhook": bench_webhook.measure,
    "reading": bench_reading.measure,
    "pile": bench_pile.measure,
    "piles": bench_pile.measure_many,
    "outlook": bench_outlook.measure,
    "recipe": bench_recipe.measure,
    "memory": bench_memory.measure,
}


def main(names: list[str]) -> int:
    """Measure and print; 1 when a row misses what is wanted, 2 for an unknown row."""
    if unknown := [name for name in names if name not in ROWS]:
        print(f"no row {', '.join(unknown)}; there are {', '.join(ROWS)}", file=sys.stderr)
        return 2
    missed = 0
    for name in names or ROWS:
        try:
            row = ROWS[name]()
        except Skipped as exc:
            print(f"{name}: SKIPPED, {exc}", flush=True)
            continue
        print(f"{name}: {row}", flush=True)
        missed += not row.met
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
