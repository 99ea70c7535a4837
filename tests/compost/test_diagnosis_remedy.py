"""The action against each cause and its amount."""

from __future__ import annotations

import pytest

from bot.compost import diagnosis_remedy
from bot.compost.diagnosis_remedy import PileNow, believed_moisture, remedy
from bot.compost.errors import OutOfRange, UnknownName
from bot.compost.materials import Material
from bot.compost.mix import mix_cn

from .causes import MATERIALS, TABLE

PILE = PileNow(volume_m3=4.0, wet_mass_kg=1600, moisture=0.40, cn_ratio=45, age_days=14)
MANURE = MATERIALS["cattle_manure"]
STRAW = MATERIALS["wheat_straw"]
SOIL = MATERIALS["topsoil"]


def test_water_by_the_mass_balance() -> None:
    # MIX-10 (definition): m (g - M) / (1 - g), here to 55 %.
    found = remedy(TABLE, "too_dry", PILE)
    assert found.litres == pytest.approx(1600 * (0.55 - 0.40) / 0.45)


def test_less_water_than_the_record_says_is_never_negative() -> None:
    found = remedy(TABLE, "too_dry", PileNow(volume_m3=4, wet_mass_kg=1600, moisture=0.7), squeeze="dry")
    assert found.litres == pytest.approx(1600 * 0.15 / 0.45)


@pytest.mark.parametrize(
    ("cause", "ratio_now", "material"),
    [("too_little_nitrogen", 34.0, MANURE), ("too_much_nitrogen", 27.0, STRAW)],
)
def test_the_addition_brings_the_ratio_to_thirty(cause: str, ratio_now: float, material: Material) -> None:
    pile = PileNow(volume_m3=4, wet_mass_kg=1200, moisture=0.5, cn_ratio=ratio_now)
    found = remedy(TABLE, cause, pile, [SOIL, MANURE, STRAW])
    assert found.material == material.id and found.volume_m3 is not None and not found.capped
    carbon = 1200 * 0.5 * pile.carbon_dry
    ratio = mix_cn(
        [600, found.volume_m3 * material.density_kg_m3()],
        [0, material.moisture.typical],
        [carbon / 600, material.carbon.typical],
        [carbon / ratio_now / 600, material.nitrogen.typical],
    )
    assert ratio == pytest.approx(30)


def test_dry_straw_for_a_soaked_pile_is_capped_to_a_days_work() -> None:
    found = remedy(TABLE, "too_wet", PileNow(volume_m3=4, wet_mass_kg=3000, moisture=0.75), [MANURE, STRAW])
    assert found.material == "wheat_straw" and found.capped
    assert found.volume_m3 == pytest.approx(0.3 * 4)


def test_nothing_fitting_at_hand_names_no_material() -> None:
    assert remedy(TABLE, "too_little_nitrogen", PILE, [STRAW]).material is None
    assert remedy(TABLE, "too_wet", PILE, [MANURE]).material is None


def test_enlarge_to_a_cube_of_one_and_a_half_metres() -> None:
    found = remedy(TABLE, "too_small", PileNow(volume_m3=0.5, wet_mass_kg=200))
    assert found.volume_m3 == pytest.approx(1.5**3 - 0.5)


def test_wait_until_day_five() -> None:
    young = PileNow(volume_m3=4, wet_mass_kg=1600, age_days=2)
    found = remedy(TABLE, "too_young", young)
    assert (found.days, found.check_after_days) == (3.0, 3)


def test_every_cause_has_an_action_and_a_day_to_look_again() -> None:
    for cause in TABLE.cause:
        found = remedy(TABLE, cause, PILE, [STRAW, MANURE], squeeze="damp")
        assert found.kind and found.check_after_days >= 1
        assert found.litres is None or found.litres >= 0
        assert found.volume_m3 is None or found.volume_m3 >= 0


def test_fire_keeps_people_back_and_names_the_fire_service() -> None:
    found = remedy(TABLE, "self_ignition", PILE)
    assert found.kind == "keep_back"
    assert set(found.cautions) == {"keep_back", "fire_service"}
    assert found.volume_m3 is None and found.litres is None


@pytest.mark.parametrize(
    ("estimate", "squeeze", "moisture"),
    [
        (0.55, None, 0.55),
        (None, None, 0.55),
        (0.3, "dry", 0.3),
        (0.55, "wet", 0.63),
        (None, "wet", 0.70),
        (0.2, "damp", 0.45),
    ],
)
def test_a_squeezed_handful_corrects_the_record(
    estimate: float | None, squeeze: str | None, moisture: float
) -> None:
    assert believed_moisture(estimate, squeeze) == moisture


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(UnknownName, match="unknown cause: 'bad_luck'"):
        remedy(TABLE, "bad_luck", PILE)
    with pytest.raises(UnknownName, match="unknown squeeze: 'soggy'"):
        remedy(TABLE, "too_dry", PILE, squeeze="soggy")
    with pytest.raises(OutOfRange, match="volume is -1 m3"):
        remedy(TABLE, "no_air", PileNow(volume_m3=-1, wet_mass_kg=1))


def test_worked_examples() -> None:
    import doctest

    assert doctest.testmod(diagnosis_remedy).failed == 0
