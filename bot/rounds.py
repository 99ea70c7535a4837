"""A thread that works in rounds: it sleeps as long as the last round said, or until it is woken."""

from __future__ import annotations

import threading
from collections.abc import Callable
from datetime import timedelta


class Rounds:
    """work : one round; returns how long nothing will be to do, unless woken. It must not raise."""

    def __init__(self, name: str, work: Callable[[], timedelta]) -> None:
        self._name, self._work = name, work
        self._wake = threading.Event()
        self._thread: threading.Thread | None = None
        self.stopping = False

    def start(self) -> None:
        """Work from a thread of its own until `stop`."""
        self.stopping = False
        self._thread = threading.Thread(target=self._run, name=self._name, daemon=True)
        self._thread.start()

    def wake(self) -> None:
        """There is something to do."""
        self._wake.set()

    def ask_to_stop(self) -> None:
        """The round at hand is finished, and no other begun."""
        self.stopping = True
        self._wake.set()

    def stop(self, timeout_s: float) -> bool:
        """Stop and wait for the end of the thread, up to `timeout_s` [s]. False when it has not ended."""
        self.ask_to_stop()
        if self._thread is None:
            return True
        self._thread.join(timeout_s)
        return not self._thread.is_alive()

    def _run(self) -> None:
        while not self.stopping:
            # Cleared before the round: what comes up meanwhile sets it again.
            self._wake.clear()
            wait = self._work()
            if not self.stopping:
                self._wake.wait(wait.total_seconds())
