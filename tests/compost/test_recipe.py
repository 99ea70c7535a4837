"""The layered heap. Amounts are common practice (25, 5 and 5 cm) unless a source stands beside them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot import compost as core
from bot.coredata import load_catalogue

GOOD = core.Size(2.0, 2.0, 2.0)
SIDES = st.floats(0.3, 3.0)
HANDS = st.lists(
    st.builds(
        core.AtHand,
        st.sampled_from(sorted(load_catalogue().materials)),
        st.one_of(st.none(), st.floats(0.0, 20.0)),
    ),
    min_size=1,
    max_size=6,
)


def plan(*names: str, size: core.Size = GOOD) -> core.PilePlan:
    return core.plan_pile(load_catalogue(), size, [core.AtHand(name) for name in names])


def volume(found: core.PilePlan, material: str) -> float:
    need = found.need(material)
    assert need is not None
    return need.volume_m3


def test_the_good_heap_of_common_practice() -> None:
    found = plan("maize_stalks", "cattle_manure")
    assert found.rounds == 5
    assert volume(found, "cattle_manure") == pytest.approx(1.0)  # 5 rounds x 5 cm x 4 m2
    assert volume(found, "topsoil") == pytest.approx(1.0)
    assert volume(found, "maize_stalks") == pytest.approx(6.0)  # 5 x 25 cm, foundation 20 cm, cap 5 cm
    assert found.verdict.kind == "good"
    assert found.mend is None
    assert found.watered_moisture == pytest.approx(0.55)
    assert [a.kind for a in found.assumptions].count("soil_dug") == 1


@settings(max_examples=80, deadline=None)
@given(SIDES, SIDES, SIDES, HANDS)
def test_the_layers_fill_the_heap_and_add_up(
    length: float, width: float, height: float, hands: list[core.AtHand]
) -> None:
    size = core.Size(length, width, height)
    try:
        found = core.plan_pile(load_catalogue(), size, hands)
    except core.CannotReach:
        assert not any(load_catalogue()[hand.material].rots for hand in hands)
        return
    assert sum(layer.thickness_m for layer in found.layers) == pytest.approx(height)
    sprinkles = [p.volume_m3 for p in found.portions if load_catalogue()[p.material].role == "mineral"]
    total = sum(portion.volume_m3 for portion in found.portions)
    assert total == pytest.approx(size.volume_m3 + sum(sprinkles))
    assert sum(need.volume_m3 for need in found.needs) == pytest.approx(total)
    in_layers = sum(portion.volume_m3 for layer in found.layers for portion in layer.portions)
    assert in_layers == pytest.approx(total)
    assert sum(layer.water_l for layer in found.layers) == pytest.approx(found.water_l)
    assert found.water_l >= 0
    assert all(math.isfinite(v) for v in (found.cn_ratio, found.moisture, found.free_air_space))


@pytest.mark.parametrize(
    ("names", "kind", "reason"),
    [
        (("maize_stalks",), "slow", "cn_high"),
        (("sawdust", "goat_manure"), "slow", "cn_high"),
        (("wheat_straw", "paper"), "slow", "cn_high"),
        (("green_grass", "poultry_manure"), "will_smell", "cn_low"),
        (("pig_manure",), "will_smell", "too_wet"),
        (("vegetable_scraps",), "will_smell", "too_wet"),
    ],
)
def test_bad_mixes(names: tuple[str, ...], kind: str, reason: str) -> None:
    verdict = plan(*names).verdict
    assert verdict.kind == kind
    assert reason in verdict.reasons


@pytest.mark.parametrize(
    "names", [("maize_stalks",), ("green_grass", "poultry_manure"), ("maize_stalks", "legume_leaves")]
)
def test_the_addition_mends_the_mix(names: tuple[str, ...], catalogue: core.Catalogue) -> None:
    found = plan(*names)
    assert found.mend is not None
    more = core.mix_of([core.Part(catalogue[found.mend.material], found.mend.volume_m3)])
    assert core.judge(core.add_mixes(found.mix, more)).kind == "good"


def test_the_addition_is_taken_from_what_is_at_hand() -> None:
    found = plan("maize_stalks", "legume_leaves")
    assert found.mend is not None
    assert (found.mend.material, found.mend.at_hand) == ("legume_leaves", True)
    alone = plan("maize_stalks").mend
    assert alone is not None
    assert not alone.at_hand


def test_a_bad_usual_mix_is_balanced_where_the_materials_allow() -> None:
    found = plan("maize_stalks", "poultry_manure")
    assert found.verdict.kind == "good"
    assert found.cn_ratio == pytest.approx(25.0)
    assert volume(found, "poultry_manure") < 1.0
    assert found.thickness.feed_m < 0.05
    assert "balanced_layers" in [a.kind for a in found.assumptions]


def test_balancing_does_not_take_more_than_there_is(catalogue: core.Catalogue) -> None:
    hands = [core.AtHand("maize_stalks", 3.0), core.AtHand("poultry_manure", 5.0)]
    found = core.plan_pile(catalogue, GOOD, hands)
    assert found.verdict.kind == "will_smell"
    assert found.mend is not None
    assert found.fillable is not None


@pytest.mark.parametrize("shape", ["upright", "tapered", "dome"])
def test_a_shape_keeps_the_shares_and_adds_up(shape: core.Shape) -> None:
    found = plan("maize_stalks", "cattle_manure", size=core.Size(2.0, 2.0, 2.0, shape))
    assert sum(p.volume_m3 for p in found.portions) == pytest.approx(found.volume_m3)
    rounds = [sum(p.volume_m3 for p in layer.portions) for layer in found.layers if layer.use == "feed"]
    assert len(rounds) == 5
    if shape == "upright":
        assert rounds == pytest.approx([0.2] * 5)
    else:
        assert rounds == sorted(rounds, reverse=True)


@pytest.mark.parametrize("names", [("cattle_manure",), ("weeds",), ("weeds", "cattle_manure")])
def test_soil_is_never_more_than_a_sixth(names: tuple[str, ...]) -> None:
    found = plan(*names)
    assert volume(found, "topsoil") <= found.volume_m3 / 6 + 1e-9


def test_a_soaked_mix_is_not_watered() -> None:
    assert plan("pig_manure").water_l == 0
    assert plan("coffee_pulp", "banana_leaves").water_l == 0


def test_what_is_missing_is_said_with_what_could_serve() -> None:
    missing = {gap.use: gap for gap in plan("dry_leaves").missing}
    assert set(missing) == {"foundation", "feed"}
    assert "goat_manure" in missing["feed"].could_serve
    assert missing["feed"].volume_m3 == pytest.approx(1.0)
    assert plan("maize_stalks", "cattle_manure").missing == ()


def test_a_shortage_is_said_with_the_size_it_fills(catalogue: core.Catalogue) -> None:
    hands = [core.AtHand("maize_stalks"), core.AtHand("cattle_manure", 0.5)]
    found = core.plan_pile(catalogue, GOOD, hands)
    need = found.need("cattle_manure")
    assert need is not None
    assert need.short_m3 == pytest.approx(0.5)
    assert found.fillable == core.Size(
        *[pytest.approx(1.55)] * 3
    )  # the cube root of a half, in steps of 5 cm
    assert core.plan_pile(catalogue, GOOD, hands[:1]).fillable is None


def test_known_amounts_set_the_shares(catalogue: core.Catalogue) -> None:
    hands = [core.AtHand("dry_grass", 6.0), core.AtHand("weeds", 2.0), core.AtHand("goat_manure")]
    found = core.plan_pile(catalogue, GOOD, hands)
    shares = {p.material: p.volume_m3 for p in found.portions if p.use == "vegetation"}
    assert shares["dry_grass"] == pytest.approx(3 * shares["weeds"])
    assert "shared_by_amount" in [a.kind for a in found.assumptions]


def test_the_same_material_named_twice_is_one(catalogue: core.Catalogue) -> None:
    hands = [core.AtHand("weeds", 1.0), core.AtHand("weeds", 2.0), core.AtHand("cattle_manure")]
    need = core.plan_pile(catalogue, GOOD, hands).need("weeds")
    assert need is not None
    assert need.at_hand_m3 == 3.0


def test_whole_stalks_weigh_a_fifth(catalogue: core.Catalogue) -> None:
    whole = core.plan_pile(
        catalogue, GOOD, [core.AtHand("maize_stalks", None, "whole"), core.AtHand("cattle_manure")]
    )
    chopped = plan("maize_stalks", "cattle_manure")
    assert whole.cn_ratio < chopped.cn_ratio
    assert "state" not in [a.kind for a in whole.assumptions]


@pytest.mark.parametrize(
    ("size", "name"),
    [
        (core.Size(0.0, 2.0, 2.0), "length_m"),
        (core.Size(2.0, -3.0, 2.0), "width_m"),
        (core.Size(2.0, 2.0, 20.0), "height_m"),
        (core.Size(20.0, 2.0, 2.0), "length_m"),
        (core.Size(1e9, 2.0, 2.0), "length_m"),
        (core.Size(math.nan, 2.0, 2.0), "length_m"),
    ],
)
def test_sizes_that_cannot_be(size: core.Size, name: str) -> None:
    with pytest.raises(core.OutOfRange, match=name):
        plan("weeds", size=size)


def test_sizes_that_are_unwise() -> None:
    assert plan("weeds", size=core.Size(0.5, 0.5, 0.5)).notes == ("too_small",)
    assert plan("weeds", size=core.Size(1.0, 1.0, 1.0)).notes == ()
    assert plan("weeds", size=core.Size(2.0, 2.0, 2.5)).notes == ("too_tall",)


def test_what_cannot_be_planned(catalogue: core.Catalogue) -> None:
    with pytest.raises(core.CannotReach, match="nothing_rots"):
        plan("ash", "topsoil")
    with pytest.raises(core.UnknownMaterial):
        plan("gold")
    with pytest.raises(core.OutOfRange, match="volume of weeds"):
        core.plan_pile(catalogue, GOOD, [core.AtHand("weeds", -1.0)])
    with pytest.raises(core.CannotReach, match="not_a_feed"):
        core.manure_for(catalogue, GOOD, "maize_stalks")


def test_the_reverse_plan_undoes_the_plan(catalogue: core.Catalogue) -> None:
    found = core.size_for(catalogue, "cattle_manure", 1.0)
    assert found.size == core.Size(2.0, 2.0, 2.0)
    assert volume(found, "maize_stalks") == pytest.approx(6.0)


def test_more_manure_makes_a_longer_heap_and_less_a_smaller_one(catalogue: core.Catalogue) -> None:
    longer, smaller = (
        core.size_for(catalogue, "goat_manure", 2.0),
        core.size_for(catalogue, "goat_manure", 0.2),
    )
    assert (longer.size.length_m, longer.size.width_m) == (pytest.approx(4.0), 2.0)
    assert smaller.size.length_m < 1.4
    with pytest.raises(core.CannotReach, match="not_enough"):
        core.size_for(catalogue, "goat_manure", 0.0001)
    with pytest.raises(core.CannotReach, match="no_amount"):
        core.largest_pile(catalogue, [core.AtHand("weeds")])


@settings(max_examples=25, deadline=None)
@given(st.floats(0.01, 8.0))
def test_the_largest_heap_never_needs_more_than_there_is(amount: float) -> None:
    found = core.size_for(load_catalogue(), "cattle_manure", amount)
    assert volume(found, "cattle_manure") <= amount + 1e-9
