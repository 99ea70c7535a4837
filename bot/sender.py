"""Drains the outbox: claims a message, hands it to its gateway, writes down what came of it.

One message of one gateway at a time, so that a crash leaves at most one per gateway of which nobody knows
whether it went out. On the next start such a message is sent again with the same reference where the gateway
drops repeats; elsewhere it is marked unsure, for people to look at. Nothing is lost and no reply is repeated.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable, Iterable, Sequence
from datetime import datetime, timedelta

from .clock import Clock
from .gateways import Gateway, GatewayDown, GatewayRefused, GatewayUnsure
from .messages import Outgoing
from .rounds import Rounds
from .sender_lock import SenderLock
from .store import Store, StoreError

log = logging.getLogger(__name__)

LONGEST_WAIT = timedelta(seconds=60)
"""The outbox is looked at this often even when nobody called `wake`: another process may have queued."""


class Sender:
    """The sender of one gateway. Only one process may send out of a database at a time (see Senders.start).

    retry_after : waits after the first, second ... failure in a row; the last one repeats.
    """

    def __init__(
        self, store: Store, gateway: Gateway, clock: Clock, retry_after: Sequence[timedelta]
    ) -> None:
        self._store, self._gateway, self._clock = store, gateway, clock
        self._retry_after = tuple(retry_after)
        self._failures = 0
        self._paused_until: datetime | None = None
        self._unwritten: Callable[[], None] | None = None
        self._recovered = False
        self._turn = threading.RLock()
        self._rounds = Rounds(f"sender-{gateway.name}", self._round)

    def recover(self) -> int:
        """Deal with messages that were with the gateway when the process ended. Returns how many."""
        found = self._store.outbox.recover(
            self._gateway.name, self._clock.now(), drops_repeats=self._gateway.drops_repeats
        )
        self._recovered = True
        return found

    def drain(self) -> int:
        """Send all that may go now, after `recover` the first time. Raises StoreError.

        Returns how many messages the gateway took. Threads that call this take turns.
        """
        with self._turn:
            if not self._recovered:
                self.recover()
            taken = 0
            while not self._rounds.stopping and not self._paused():
                self._write()
                claimed = self._store.outbox.claim(self._gateway.name, self._clock.now(), limit=1)
                if not claimed:
                    break
                taken += self._send(claimed[0])
            return taken

    def _paused(self) -> bool:
        return self._paused_until is not None and self._clock.now() < self._paused_until

    def _send(self, message: Outgoing) -> bool:
        outbox = self._store.outbox
        try:
            result = self._gateway.send(message)
        except GatewayRefused as exc:
            reason = str(exc)
            self._reached()
            self._write(lambda: outbox.mark_failed(message, self._clock.now(), reason))
        except GatewayDown as exc:
            self._wait(message, str(exc), exc.retry_after)
        except GatewayUnsure as exc:
            self._no_answer(message, str(exc))
        except Exception as exc:
            # A fault in a gateway's code must not stop the others' messages, nor send one twice.
            log.exception("gateway %s failed on message %s", self._gateway.name, message.reference)
            self._no_answer(message, f"fault in the gateway's code ({type(exc).__name__})")
        else:
            self._reached()
            self._write(lambda: outbox.mark_sent(message, self._clock.now(), result.gateway_ref))
            return True
        return False

    def _reached(self) -> None:
        self._failures, self._paused_until = 0, None

    def _wait(self, message: Outgoing, reason: str, hint: timedelta | None) -> None:
        until = self._rest(hint)
        self._write(lambda: self._store.outbox.mark_waiting(message, until, reason))

    def _no_answer(self, message: Outgoing, reason: str) -> None:
        if self._gateway.drops_repeats:
            self._wait(message, reason, None)
            return
        self._rest(None)
        self._write(lambda: self._store.outbox.mark_unsure(message, self._clock.now(), reason))

    def _rest(self, hint: timedelta | None) -> datetime:
        """The whole gateway rests, not only this message: the others would meet the same closed door."""
        step = self._retry_after[min(self._failures, len(self._retry_after) - 1)]
        self._failures += 1
        self._paused_until = self._clock.now() + max(step, hint or step)
        return self._paused_until

    def _write(self, outcome: Callable[[], None] | None = None) -> None:
        """Write down an outcome, or the one that could not be written before (a full disk). Until it is,
        nothing else is sent: the message would look as if it had never gone."""
        self._unwritten = outcome or self._unwritten
        if self._unwritten is not None:
            self._unwritten()
            self._unwritten = None

    def start(self) -> None:
        """Send from a thread of its own until `stop`."""
        self._rounds.start()

    def wake(self) -> None:
        """Something was queued."""
        self._rounds.wake()

    def ask_to_stop(self) -> None:
        """The message at hand is finished, and no other begun."""
        self._rounds.ask_to_stop()

    def stop(self, timeout_s: float = 30.0) -> bool:
        """Stop and wait for the end of the thread, up to `timeout_s` [s]. False when it has not ended."""
        return self._rounds.stop(timeout_s)

    def _round(self) -> timedelta:
        """Send what may go; how long nothing will be to do, unless woken."""
        try:
            self.drain()
            return self._until_next()
        except StoreError as exc:
            log.warning("sender %s: %s; trying again", self._gateway.name, exc)
        except Exception:
            log.exception("sender %s failed; trying again", self._gateway.name)
        return self._retry_after[0]

    def _until_next(self) -> timedelta:
        now = self._clock.now()
        moments = [now + LONGEST_WAIT, self._store.outbox.next_try(self._gateway.name)]
        wait = min(moment for moment in moments if moment is not None) - now
        if self._paused_until is not None:
            wait = max(wait, self._paused_until - now)
        return max(wait, timedelta(0))


class Senders:
    """One sender per gateway, together."""

    def __init__(
        self, store: Store, gateways: Iterable[Gateway], clock: Clock, retry_after: Sequence[timedelta]
    ) -> None:
        self.by_gateway = {gateway.name: Sender(store, gateway, clock, retry_after) for gateway in gateways}
        self._lock = SenderLock(store.path)

    def start(self) -> None:
        """Start the threads. Raises SenderRunning when another process sends out of this database."""
        self._lock.acquire()
        for sender in self.by_gateway.values():
            sender.start()

    def wake(self) -> None:
        for sender in self.by_gateway.values():
            sender.wake()

    def drain(self) -> int:
        """Send all that may go now, without threads. Raises StoreError."""
        return sum(sender.drain() for sender in self.by_gateway.values())

    def stop(self, timeout_s: float = 30.0) -> bool:
        """Stop all; False when one did not end in time."""
        for sender in self.by_gateway.values():
            sender.ask_to_stop()
        ended = [sender.stop(timeout_s) for sender in self.by_gateway.values()]
        self._lock.release()
        return all(ended)
