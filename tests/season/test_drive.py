"""Random farmers, a few thousand messages of them: python -m tests.season.drive 50000 drives many more."""

from __future__ import annotations

import pytest

from tests.season.drive import Drive, drive

SEEDS = range(900, 905)


@pytest.mark.parametrize("seed", SEEDS)
def test_whatever_farmers_write_every_promise_is_kept(seed: int) -> None:
    """500 messages each: no fault, no dead end, STOP and LATER always work, mornings only, no pile forgotten."""
    seen = drive(500, seed)
    assert seen["texts"] >= 500
    assert seen["reply stop"] and seen["pile working"] + seen["pile planning"] + seen["pile building"]


def test_the_driver_sees_a_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without this a driver that looks at nothing would pass."""
    driven = Drive(1)

    def fault(*_: object, **__: object) -> None:
        raise LookupError("a rule without a value")

    monkeypatch.setattr(driven.bot.engine, "take", fault)
    try:
        with pytest.raises(AssertionError, match="a fault was logged"):
            driven.say("+447700900100", "hello")
    finally:
        driven.close()
