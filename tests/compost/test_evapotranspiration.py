"""Limits and shape; the worked examples of FAO-56 are doctests and rows of bot/checks/evaporation.py."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot import compost as core


@settings(max_examples=80, deadline=None)
@given(st.floats(-90, 90), st.integers(1, 366))
def test_radiation_and_days_are_finite_and_not_negative(latitude: float, day: int) -> None:
    assert 0 <= core.radiation_above_air(latitude, day) < 50
    assert 0 <= core.day_length_h(latitude, day) <= 24


def test_polar_night_and_midnight_sun() -> None:
    assert core.day_length_h(80.0, 355) == 0.0
    assert core.day_length_h(80.0, 172) == 24.0
    assert core.radiation_above_air(80.0, 355) == 0.0


def test_hemispheres_mirror() -> None:
    assert core.day_length_h(30, 172) + core.day_length_h(-30, 172) == pytest.approx(24)


def test_radiation_must_be_in_mm_for_hargreaves() -> None:
    """The trap of Eq. 52 (ET-05): radiation left in MJ would give 12.3 mm/d for Lyon in July."""
    assert core.hargreaves_mm(14.8, 26.6, core.radiation_above_air(45.72, 196)) < 6


@pytest.mark.parametrize("method", ["usda_scs", "fao_training", "dependable"])
def test_effective_rain_has_no_jump_and_never_exceeds_the_rain(method: core.RainMethod) -> None:
    values = [core.effective_rain_mm(mm, method) for mm in range(601)]
    assert all(0 <= value <= mm for mm, value in enumerate(values))
    assert all(0 <= b - a <= 1.01 for a, b in zip(values, values[1:], strict=False))


def test_usual_temperatures_have_their_seasons() -> None:
    january, july = core.usual_temperatures_c(35, 1), core.usual_temperatures_c(35, 7)
    assert july[1] > january[1] + 5
    assert core.usual_temperatures_c(-35, 1)[1] > core.usual_temperatures_c(-35, 7)[1] + 5


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: core.radiation_above_air(91, 1), "latitude_deg"),
        (lambda: core.radiation_above_air(0, 367), "day"),
        (lambda: core.day_of_month_middle(13), "month"),
        (lambda: core.hargreaves_mm(20, 10, 30), "high_c"),
        (lambda: core.hargreaves_mm(math.nan, 10, 30), "low_c"),
        (lambda: core.effective_rain_mm(-1), "month_mm"),
        (lambda: core.air_pressure_kpa(1e5), "altitude_m"),
        (lambda: core.radiation_from_sunshine(25, 13, 12), "sunshine_h"),
    ],
)
def test_absurd_input_names_itself(call: object, name: str) -> None:
    with pytest.raises(core.OutOfRange) as caught:
        call()  # type: ignore[operator]
    assert caught.value.name == name
