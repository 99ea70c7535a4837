from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot import compost as core
from bot.coredata import load_catalogue, load_crops, read_core_text

TONNE = core.Compost(mass_kg=1000.0, volume_m3=1000 / 600)


def heap_compost() -> core.Compost:
    plan = core.manure_for(load_catalogue(), core.Size(2.0, 2.0, 2.0), "cattle_manure")
    return core.expected_compost(plan.mix, plan.whole)


def test_ash_is_conserved_and_mass_balances() -> None:
    plan = core.manure_for(load_catalogue(), core.Size(2.0, 2.0, 2.0), "cattle_manure")
    compost = core.expected_compost(plan.mix, plan.whole)
    lost = plan.mix.fast_kg + 0.6 * plan.mix.slow_kg
    assert compost.dry_kg == pytest.approx(plan.whole.dry_kg - lost)
    assert compost.dry_kg > plan.whole.ash_kg
    assert compost.dry_kg * compost.nitrogen == pytest.approx(0.7 * plan.mix.nitrogen_kg)


def test_soil_thins_nutrients_but_not_their_amount() -> None:
    plan = core.manure_for(load_catalogue(), core.Size(2.0, 2.0, 2.0), "cattle_manure")
    with_soil, without = (
        core.expected_compost(plan.mix, plan.whole),
        core.expected_compost(plan.mix, plan.mix),
    )
    assert with_soil.nitrogen < without.nitrogen
    for field in ("nitrogen_kg", "phosphorus_kg", "potassium_kg"):
        both = [getattr(core.nutrients_of(c, c.mass_kg), field) for c in (with_soil, without)]
        assert both[0] == pytest.approx(both[1])


@settings(max_examples=40, deadline=None)
@given(st.floats(1, 1e5), st.floats(0.5, 100))
def test_area_and_mass_are_inverse(mass: float, rate: float) -> None:
    assert core.mass_for_area_kg(core.area_fed_m2(mass, rate), rate) == pytest.approx(mass)
    assert core.rate_of_depth_t_ha(core.depth_mm(rate)) == pytest.approx(rate)


def test_a_dressing_of_maize() -> None:
    found = core.dressing(TONNE, load_crops()["maize"])
    assert found.rate_t_ha == 10
    assert found.area_m2 == pytest.approx(1000)  # 10 t/ha is 1 kg/m2 (definition)
    assert found.kg_per_m2 == 1.0
    # 10 t at 40 % moisture and 1.5 % N: 90 kg, 9 kg in the first season (USE-14); maize takes up about 60.
    assert found.per_ha.nitrogen_kg == pytest.approx(90)
    assert found.lacks.nitrogen_kg == pytest.approx(51)
    assert found.handfuls_per_station == 3
    assert found.stations == pytest.approx(1000 / 600 * 1000 / 0.3, abs=1)
    assert "wait_a_week_before_sowing" in found.cautions


@pytest.mark.parametrize("crop", sorted(load_crops().crops))
def test_every_crop_gives_finite_numbers(crop: str) -> None:
    found = core.dressing(heap_compost(), load_crops()[crop])
    assert found.area_m2 > 0
    assert found.depth_mm > 0
    assert min(found.lacks.nitrogen_kg, found.lacks.phosphorus_kg, found.lacks.potassium_kg) >= 0
    assert (found.handfuls_per_station is None) == (found.stations is None)


@pytest.mark.parametrize("rate", [0.0, -5.0, 1000.0, math.nan])
def test_absurd_rates(rate: float) -> None:
    with pytest.raises(core.OutOfRange, match="rate_t_ha"):
        core.dressing(TONNE, load_crops()["maize"], rate)


def test_unknown_crop() -> None:
    with pytest.raises(core.UnknownName, match="unknown crop: 'oak'"):
        load_crops()["oak"]


def test_whole_cannot_be_less_than_what_rots() -> None:
    plan = core.manure_for(load_catalogue(), core.Size(2.0, 2.0, 2.0), "cattle_manure")
    with pytest.raises(core.OutOfRange, match="whole dry_kg"):
        core.expected_compost(plan.whole, plan.mix)


@pytest.mark.parametrize(
    ("old", "new", "field"),
    [
        ("rate = { low = 5,", "rate = { low = 50,", "rate"),
        ("stations = 4.4", "stations = -1", "stations"),
        ('source = "uptake"', 'source = "nobody"', "nitrogen.source"),
        ("touches_soil = false", "touches_soil = 3", "touches_soil"),
    ],
)
def test_a_bad_file_names_the_field(old: str, new: str, field: str) -> None:
    text = read_core_text("crops.toml")
    assert old in text
    with pytest.raises(core.BadData) as caught:
        core.parse_crops(text.replace(old, new, 1))
    assert (caught.value.entry, caught.value.field) == ("maize", field)


def test_worth() -> None:
    found = core.worth_of(TONNE, bag_kg=50, price_per_bag=3.0, hours=30, wage_per_hour=1.0, costs=10.0)
    assert (found.bags, found.sales, found.labour, found.gain) == (20, 60.0, 30.0, 20.0)
    assert found.break_even_price == 2.0
    even = core.worth_of(TONNE, 50, found.break_even_price, 30, 1.0, 10.0)
    assert even.gain == pytest.approx(0.0)


def test_value_by_the_price_of_urea() -> None:
    """Urea is 46-0-0 by law in most countries; the price is made up."""
    nitrogen = core.nutrient_price(core.Fertiliser(price=46.0, mass_kg=50.0, nitrogen=0.46))
    assert core.nutrient_value(TONNE, nitrogen) == pytest.approx(2.0 * 600 * 0.015)


@pytest.mark.parametrize(
    "bag",
    [
        core.Fertiliser(price=10.0, mass_kg=50.0),
        core.Fertiliser(price=10.0, mass_kg=50.0, nitrogen=0.17, p2o5=0.17),
    ],
)
def test_a_bag_without_one_nutrient_has_no_price(bag: core.Fertiliser) -> None:
    with pytest.raises(core.TooLittle, match="nutrient"):
        core.nutrient_price(bag)


def test_absurd_worth() -> None:
    with pytest.raises(core.TooLittle, match="not one full bag"):
        core.worth_of(core.Compost(mass_kg=3.0, volume_m3=0.005), 50, 3.0, 1, 1.0)
    with pytest.raises(core.OutOfRange, match="price_per_bag"):
        core.worth_of(TONNE, 50, -1.0, 1, 1.0)
    with pytest.raises(core.OutOfRange, match="turns"):
        core.hours_of_work(8.0, -1, 0)
    with pytest.raises(core.OutOfRange, match="price"):
        core.nutrient_value(TONNE, math.nan)
