"""Memory of the serving process after 10,000 farmers with a pile each, against one that serves nothing.

Each side is a process of its own, so that neither carries what the benchmark itself has loaded.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path
from urllib.parse import urlencode

from tests.bench_row import Row, Skipped

WANTED_MB = 150
FARMERS, PHONES = 10_000, 1_000
ROOT = Path(__file__).parents[1]


def measure() -> Row:
    """Resident memory in MB (10^6 bytes), at the end of the run and at its highest."""
    if not Path("/proc/self/status").exists():
        raise Skipped("this system tells no process's memory in /proc")
    floor, _ = _child("floor", "")
    # Where memory can be written like a disk, the disk's own speed does not lengthen the run.
    shared = Path("/dev/shm")
    with tempfile.TemporaryDirectory(dir=shared if shared.is_dir() else None) as folder:
        after, highest = _child("bot", str(Path(folder) / "bot.db"))
    figures = f"{after:.0f} MB, at its highest {highest:.0f} MB; floor {floor:.0f} MB"
    return Row(
        f"memory after {FARMERS} farmers", after / floor, highest < WANTED_MB, f"< {WANTED_MB} MB", figures
    )


def _child(side: str, database: str) -> tuple[float, float]:
    done = subprocess.run(
        [sys.executable, "-m", "tests.bench_memory", side, database],
        cwd=ROOT, capture_output=True, text=True, check=True,
    )  # fmt: skip
    after, highest = done.stdout.split()
    return float(after), float(highest)


def serve(database: str) -> None:
    """Every farmer has a pile and sends a message about it through the webhook."""
    from tests.bench_webhook import open_bench_bot, post

    app, service, clock = open_bench_bot(Path(database).parent)
    now = clock.now()
    for number in range(FARMERS):
        phone = f"+447700900{number % PHONES:03d}"
        with service.store.transaction():
            line = service.store.lines.find_or_add(phone, "bench", now)
            farmer = service.store.farmers.add(line.line_id, now, name="Asha", language="en", consent_at=now)
            service.store.lines.set_speaker(line.line_id, farmer.farmer_no)
            service.store.piles.add(
                line.line_id, farmer.farmer_no, now, "built", facts={"size_m": [2, 2, 1.5]}
            )
        body = urlencode({"from": phone, "text": "stick is cold", "id": str(number)}).encode()
        post(app, "/gateways/bench/messages", body)
    assert service.store.counts(now).queued >= FARMERS, service.store.counts(now)
    service.close()


def _resident_mb() -> tuple[float, float]:
    told = dict(
        line.split(":", 1) for line in Path("/proc/self/status").read_text().splitlines() if ":" in line
    )
    return tuple(int(told[name].split()[0]) * 1024 / 1e6 for name in ("VmRSS", "VmHWM"))  # type: ignore[return-value]


if __name__ == "__main__":
    if sys.argv[1] == "bot":
        serve(sys.argv[2])
    else:
        import sqlite3

        import flask

        assert flask.Flask("floor") and sqlite3.connect(":memory:").execute("SELECT 1")
    print(*_resident_mb())
