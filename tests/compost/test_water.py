from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot import compost as core

from .piles import CONSTANTS, balanced, weekly

PILE = core.PileWater(top_m2=4.0, dry_kg=500.0, water_kg=611.0)


@settings(max_examples=60, deadline=None)
@given(
    st.floats(0, 10),
    st.floats(0, 500),
    st.sampled_from(["bare", "mulch", "sheet"]),
    st.floats(0, 2000),
    st.floats(1, 31),
)
def test_water_balances_and_is_never_negative(
    et0: float, rain: float, cover: core.Cover, water: float, days: float
) -> None:
    pile = core.PileWater(top_m2=4.0, dry_kg=500.0, water_kg=water)
    week = core.water_week(pile, et0, rain, 30.0, cover, days)
    assert min(week.need_l, week.drained_l, week.surface_l, week.decay_l, week.rain_l) >= 0
    assert 0 <= week.moisture <= 0.70 + 1e-9
    left = water + week.rain_l + week.formed_l - week.surface_l - week.decay_l
    dry = 500.0 - week.formed_l / 0.55
    held = week.moisture * dry / (1 - week.moisture)
    assert held + week.drained_l == pytest.approx(max(0.0, left), abs=1e-6)
    assert (held + week.need_l) / (held + week.need_l + dry) >= 0.55 - 1e-9


def test_rain_saves_watering_litre_for_litre_of_what_enters() -> None:
    dry, wet = core.water_week(PILE, 4.5, 0.0, 20.0), core.water_week(PILE, 4.5, 12.0, 20.0)
    assert wet.rain_l == pytest.approx(12 * 4 * 0.8)
    assert dry.need_l - wet.need_l == pytest.approx(wet.rain_l)


def test_mulch_saves_half_of_what_sun_takes() -> None:
    bare, mulch = (
        core.water_week(PILE, 5.0, 0.0, 20.0, "bare"),
        core.water_week(PILE, 5.0, 0.0, 20.0, "mulch"),
    )
    assert mulch.surface_l == pytest.approx(bare.surface_l / 2)


def test_a_sheet_keeps_rain_out() -> None:
    assert core.water_week(PILE, 5.0, 50.0, 20.0, "sheet").rain_l == 0


def test_an_old_heap_needs_less_than_a_young_one(catalogue: core.Catalogue) -> None:
    mix = core.manure_for(catalogue, core.Size(2.0, 2.0, 2.0), "cattle_manure").mix
    young, old = core.pile_water(mix, 4.0), core.pile_water(mix, 4.0, 0.4 * mix.dry_kg)
    assert old.dry_kg == pytest.approx(0.6 * young.dry_kg)
    assert core.water_week(young, 4.5, 0.0, 60.0).need_l > core.water_week(old, 4.5, 0.0, 10.0).need_l > 0
    with pytest.raises(core.OutOfRange):
        core.pile_water(mix, 4.0, mix.dry_kg)


def test_the_pile_model_says_how_much_rots() -> None:
    course = core.simulate(balanced(), CONSTANTS, 84, None, weekly(84))
    weeks = [course.decayed_kg(day) for day in range(0, 84, 7)]
    assert sum(weeks) == pytest.approx(course.dry_kg[0] - course.dry_kg[-1])
    assert weeks[0] > weeks[4] > weeks[11] > 0
    needs = [core.water_week(PILE, 4.5, 0.0, float(kg)).need_l for kg in weeks]
    # heat of decay turns more water into vapour than decay forms
    assert needs[0] > needs[4] > needs[11]
    with pytest.raises(core.OutOfRange, match="days is 7 d"):
        course.decayed_kg(80)


@pytest.mark.parametrize(
    ("et0", "rain", "days"), [(-1, 0, 7), (4, -2, 7), (4, 0, 0), (math.nan, 0, 7), (4, 1e9, 7), (4, 0, 400)]
)
def test_absurd_weather(et0: float, rain: float, days: float) -> None:
    with pytest.raises(core.OutOfRange):
        core.water_week(PILE, et0, rain, 20.0, "bare", days)
