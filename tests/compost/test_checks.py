"""Every row of the table of external checks; the source and its mark stand in the row (bot/checks/)."""

from __future__ import annotations

import math

import pytest

from bot.checks import Check, all_checks, as_line, run
from bot.commands.verify import main

CHECKS = list(all_checks())


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: f"{check.id} {check.quantity}")
def test_row(check: Check) -> None:
    outcome = run(check)
    assert outcome.passed, as_line(outcome)


def test_there_are_enough_rows_and_sources() -> None:
    assert len(CHECKS) >= 80
    assert len({check.source.split(",")[0] for check in CHECKS if check.mark.startswith("published")}) >= 12


def test_no_row_stands_twice() -> None:
    names = [(check.id, check.quantity) for check in CHECKS]
    assert len(names) == len(set(names))


@pytest.mark.parametrize("computed", [2.2, math.nan, math.inf])
def test_a_miss_is_a_miss(computed: float) -> None:
    outcome = run(Check("X", "two", "arithmetic", "definition", 2.0, 0.1, "-", lambda: computed))
    assert not outcome.passed
    assert as_line(outcome).startswith("FAIL definition")


def test_an_error_in_the_core_is_a_miss() -> None:
    assert not run(Check("X", "none", "arithmetic", "definition", 0.0, 1.0, "-", lambda: 1 / 0)).passed


def test_the_command_prints_each_row_and_says_ok(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) == len(CHECKS)
    assert all(line.startswith("ok ") for line in lines)


def test_the_command_fails_on_a_miss(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    wrong = Check("X", "two", "arithmetic", "definition", 2.0, 0.1, "-", lambda: 3.0)
    monkeypatch.setattr("bot.commands.verify.all_checks", lambda: [CHECKS[0], wrong])
    assert main([]) == 1
    assert "FAIL" in capsys.readouterr().out
