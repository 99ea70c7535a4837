from __future__ import annotations

import math

import pytest

from bot import compost as core
from bot.coredata import read_core_text

NAMES = ["bucket", "basin", "wheelbarrow", "sack", "oxcart", "headload", "handful", "kg", "litre", "m3"]


def test_all_measures_of_the_reader_are_there(measures: core.Measures) -> None:
    assert set(measures.measures) == set(NAMES)


@pytest.mark.parametrize("measure", NAMES)
@pytest.mark.parametrize("material", ["maize_stalks", "cattle_manure", "topsoil"])
@pytest.mark.parametrize("heaped", [False, True])
def test_there_and_back(
    measures: core.Measures, catalogue: core.Catalogue, measure: str, material: str, heaped: bool
) -> None:
    stuff = catalogue[material]
    volume = core.to_m3(measures, measure, 7.5, stuff, heaped=heaped)
    assert volume > 0
    assert core.from_m3(measures, measure, volume, stuff, heaped=heaped) == pytest.approx(7.5)


def test_units_are_exact(measures: core.Measures, catalogue: core.Catalogue) -> None:
    manure = catalogue["cattle_manure"]
    assert core.to_m3(measures, "litre", 1000, manure) == pytest.approx(1.0)
    assert core.to_m3(measures, "m3", 2, manure) == pytest.approx(2.0)
    assert core.to_m3(measures, "kg", 700, manure) == pytest.approx(1.0)


def test_heaped_holds_more_but_not_beyond_the_load(
    measures: core.Measures, catalogue: core.Catalogue
) -> None:
    leaves, soil = catalogue["dry_leaves"], catalogue["topsoil"]
    level = core.capacity_m3(measures, "wheelbarrow", leaves)
    assert core.capacity_m3(measures, "wheelbarrow", leaves, heaped=True) == pytest.approx(1.3 * level)
    assert core.capacity_m3(measures, "sack", soil) == pytest.approx(50 / 1300)
    assert core.capacity_m3(measures, "sack", leaves) == pytest.approx(0.1)


def test_a_headload_of_stalks_fills_its_room_and_one_of_manure_its_weight(
    measures: core.Measures, catalogue: core.Catalogue
) -> None:
    assert core.capacity_m3(measures, "headload", catalogue["maize_stalks"], "whole") == pytest.approx(0.150)
    assert core.capacity_m3(measures, "headload", catalogue["cattle_manure"]) == pytest.approx(25 / 700)


def test_own_litres(measures: core.Measures, catalogue: core.Catalogue) -> None:
    own = measures.with_own({"bucket": 10.0})
    assert core.to_m3(own, "bucket", 1, catalogue["weeds"]) == pytest.approx(0.010)
    assert core.to_m3(measures, "bucket", 1, catalogue["weeds"]) == pytest.approx(0.020)


@pytest.mark.parametrize("litres", [0.0, -5.0, 1e9, math.nan])
def test_own_litres_that_cannot_be(measures: core.Measures, litres: float) -> None:
    with pytest.raises(core.OutOfRange, match="litres of bucket"):
        measures.with_own({"bucket": litres})


def test_units_cannot_be_overridden(measures: core.Measures) -> None:
    with pytest.raises(core.BadData, match="kg: litres"):
        measures.with_own({"kg": 2.0})
    with pytest.raises(core.UnknownMeasure, match="'barrel'"):
        measures.with_own({"barrel": 100.0})


@pytest.mark.parametrize("amount", [-1.0, math.inf, math.nan, 1e9])
def test_amounts_that_cannot_be(measures: core.Measures, catalogue: core.Catalogue, amount: float) -> None:
    with pytest.raises(core.OutOfRange, match="amount"):
        core.to_m3(measures, "bucket", amount, catalogue["weeds"])


@pytest.mark.parametrize(
    ("old", "new", "field"),
    [
        ("typical = 65,", "typical = 5,", "litres"),
        ("heaped = 1.2", "heaped = 3", "heaped"),
        ('source = "cci"', 'source = "nobody"', "litres.source"),
        ('litres = { low = 1, typical = 1, high = 1, source = "definition" }\n', "", "litres"),
        ("fixed = true", "fixed = 3", "fixed"),
    ],
)
def test_a_bad_file_names_the_field(old: str, new: str, field: str) -> None:
    text = read_core_text("measures.toml")
    assert old in text
    with pytest.raises(core.BadData) as caught:
        core.parse_measures(text.replace(old, new, 1))
    assert caught.value.field == field


@pytest.mark.parametrize(
    ("amount", "said"),
    [
        (0, 0),
        (0.04, 0.5),
        (0.74, 0.5),
        (0.75, 1.0),
        (4.8, 5.0),
        (5.4, 5),
        (15.4, 15),
        (52.4, 50),
        (382, 380),
        (1234, 1250),
    ],
)
def test_spoken(amount: float, said: float) -> None:
    assert core.spoken(amount) == said
