from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot import compost as core
from bot.coredata import load_catalogue

ROTTING = sorted(m.id for m in load_catalogue().materials.values() if m.rots)
AMOUNTS = st.lists(
    st.tuples(st.sampled_from(ROTTING), st.floats(0.001, 100.0)),
    min_size=1,
    max_size=6,
    unique_by=lambda p: p[0],
)


def parts_of(amounts: list[tuple[str, float]], scale: float = 1.0) -> list[core.Part]:
    return [core.Part(load_catalogue()[name], volume * scale) for name, volume in amounts]


@settings(max_examples=60, deadline=None)
@given(AMOUNTS, st.floats(0.01, 10.0))
def test_ratios_do_not_depend_on_order_or_scale(amounts: list[tuple[str, float]], scale: float) -> None:
    mix = core.mix_of(parts_of(amounts))
    other = core.mix_of(parts_of(amounts[::-1], scale))
    for field in ("cn_ratio", "moisture", "density_kg_m3", "free_air_space"):
        assert getattr(other, field) == pytest.approx(getattr(mix, field), rel=1e-9)


@settings(max_examples=60, deadline=None)
@given(AMOUNTS)
def test_ratios_lie_between_those_of_the_ingredients(amounts: list[tuple[str, float]]) -> None:
    mix = core.mix_of(parts_of(amounts))
    alone = [core.mix_of([part]) for part in parts_of(amounts)]
    for field in ("cn_ratio", "moisture", "density_kg_m3"):
        values = [getattr(one, field) for one in alone]
        assert min(values) * (1 - 1e-9) <= getattr(mix, field) <= max(values) * (1 + 1e-9)
    assert 0 <= mix.free_air_space < 1


def test_water_only_changes_water(catalogue: core.Catalogue) -> None:
    dry = core.mix_of([core.Part(catalogue["maize_stalks"], 1.0)])
    wet = dry.with_water(50.0)
    assert wet.cn_ratio == dry.cn_ratio
    assert wet.dry_kg == pytest.approx(dry.dry_kg)
    assert wet.moisture > dry.moisture
    assert wet.free_air_space < dry.free_air_space


@settings(max_examples=60, deadline=None)
@given(st.floats(0, 1e4), st.floats(0, 1), st.floats(0, 0.99))
def test_water_to_add_reaches_the_goal_and_is_never_negative(
    mass: float, moisture: float, goal: float
) -> None:
    water = core.water_to_add_kg(mass, moisture, goal)
    assert water >= 0
    if mass > 1e-6 and moisture < goal:
        assert (mass * moisture + water) / (mass + water) == pytest.approx(goal)


def test_no_nitrogen_has_no_ratio(catalogue: core.Catalogue) -> None:
    with pytest.raises(core.TooLittle, match="no nitrogen"):
        _ = core.mix_of([core.Part(catalogue["ash"], 1.0)]).cn_ratio


@pytest.mark.parametrize("volume", [-1.0, math.nan, math.inf, 1e9])
def test_absurd_volume(catalogue: core.Catalogue, volume: float) -> None:
    with pytest.raises(core.OutOfRange, match="volume of weeds") as caught:
        core.mix_of([core.Part(catalogue["weeds"], volume)])
    assert (caught.value.low, caught.value.high, caught.value.unit) == (0.0, 1000.0, "m3")


def test_nothing_at_all() -> None:
    with pytest.raises(core.TooLittle, match="no material"):
        core.mix_of([])


@pytest.mark.parametrize(
    ("masses", "moistures", "named"),
    [([-1.0], [0.5], "mass_kg"), ([1.0], [1.01], "moisture"), ([1.0], [math.nan], "moisture")],
)
def test_moisture_outside_its_range(masses: list[float], moistures: list[float], named: str) -> None:
    with pytest.raises(core.OutOfRange, match=named):
        core.mix_moisture(masses, moistures)


def test_lengths_must_agree() -> None:
    with pytest.raises(ValueError, match="zip"):
        core.mix_moisture([1.0, 2.0], [0.5])
    with pytest.raises(core.TooLittle):
        core.mix_moisture([0.0], [0.5])


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(ROTTING), st.sampled_from(ROTTING), st.floats(12, 120))
def test_amount_for_cn_reaches_it_or_says_never(first: str, second: str, ratio: float) -> None:
    mix, material = core.mix_of(parts_of([(first, 1.0)])), load_catalogue()[second]
    volume = core.amount_for_cn(mix, material, ratio)
    if math.isinf(volume) or volume > 900:
        return
    after = core.add_mixes(mix, core.mix_of([core.Part(material, volume)]))
    assert after.cn_ratio == pytest.approx(ratio, rel=1e-6)


def test_dense_wet_stuff_has_no_air() -> None:
    assert core.free_air_space(1400.0, 0.6, 0.2) == 0.0
    assert core.free_air_space(1e-6, 0.5, 0.1) == pytest.approx(1.0)
