"""One line of the benchmark, and the clock it is measured with."""

from __future__ import annotations

import gc
import time
from collections.abc import Callable
from dataclasses import dataclass


class Skipped(Exception):
    """A row that cannot be measured here, with the reason."""


@dataclass(frozen=True)
class Row:
    """A ratio against its floor, what was wanted, and the figures behind it."""

    what: str
    ratio: float
    met: bool
    wanted: str
    figures: str

    def __str__(self) -> str:
        verdict = "ok" if self.met else "MISSED"
        return f"{self.what}: ratio {self.ratio:.3g} ({self.figures}); wanted {self.wanted}: {verdict}"


def seconds(work: Callable[[], object]) -> float:
    """How long a piece of work takes, without the garbage collector in between. [s]"""
    gc.collect()
    gc.disable()
    try:
        start = time.perf_counter()
        work()
        return time.perf_counter() - start
    finally:
        gc.enable()
