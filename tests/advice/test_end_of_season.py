"""Computations of the season's end and beginning, against sums that can be done by hand."""

from __future__ import annotations

import pytest

from bot.advice import caring, diagnosing, field, foreseeing, gathering, planning, ripeness, seasons, selling

SIZE = [2.0, 2.0, 2.0]
MIX = seasons.USUAL_MIX
BUCKET = {"measure": "bucket", "litres": 20.0}


def said(material: str, amount: float | None = None, measure: str | None = None) -> dict[str, object]:
    one = {"material": material, "amount": amount, "measure": measure}
    return {"known": [one], "near": [], "unknown": [], "forbidden": []}


def test_area_and_compost_agree_at_ten_tonnes_a_hectare() -> None:
    """10 t/ha is 1 kg/m2 (definition); the rate for maize is common practice."""
    made = field.compost_of(SIZE, MIX, planning.Carrier(None))
    assert field.reach(SIZE, MIX)["area"] == pytest.approx(made.mass_kg, rel=0.03)
    need = field.needed_for(made.mass_kg, "maize", BUCKET)
    assert need["piles"] == 1 and need["compost"]["n"] == pytest.approx(made.volume_m3 * 50, rel=0.03)


def test_two_good_piles_for_twice_the_land() -> None:
    one = field.reach(SIZE, MIX)["area"]
    assert field.needed_for(2 * one)["piles"] == 2
    assert field.needed_for(1e12)["verdict"] == "impossible"


def test_crops_that_are_planted_in_holes_are_told_in_handfuls() -> None:
    assert field.reach(SIZE, MIX, None, "maize")["handfuls"] == {"n": 3, "measure": "handful"}
    assert field.reach(SIZE, MIX, None, "leaf_vegetables")["touches"] == "yes"


def test_a_bed_times_the_area_is_all_the_compost() -> None:
    found = field.reach(SIZE, MIX, {"measure": "litre"})
    beds = found["area"] / field.BED_M2
    assert beds * found["bed"]["n"] == pytest.approx(found["compost"]["n"], rel=0.05)


def test_sales_are_sacks_times_price_and_hours_grow_with_turns() -> None:
    sale = selling.sale(SIZE, MIX, None, 300, 0)
    assert sale["sales"] == sale["sacks"] * 300 and sale["hours"] == 24  # 3 h for each of 8 m3, estimate
    assert selling.sale(SIZE, MIX, None, 300, 7)["hours"] > 60


@pytest.mark.parametrize("price", [0, -5, 1e12])
def test_a_price_that_cannot_be(price: float) -> None:
    assert selling.sale(SIZE, MIX, None, price)["verdict"] == "impossible"
    assert selling.as_fertiliser(SIZE, MIX, price)["verdict"] == "impossible"


def test_nitrogen_in_a_sack_as_urea() -> None:
    """Urea of 46 % N, 50 kg a bag: 23 kg N. A sack's nitrogen over 23 kg is its share of the bag's price."""
    made = field.compost_of(SIZE, MIX, planning.Carrier(None))
    sacks = planning.Carrier({"measure": "sack"}).filled(made)
    by_hand = made.dry_kg * made.nitrogen / sacks / 23 * 4000
    assert selling.as_fertiliser(SIZE, MIX, 4000)["value"] == pytest.approx(by_hand, rel=0.03)


def test_signs_are_asked_one_by_one_until_the_verdict() -> None:
    told: dict[str, str] = {}
    answers = {"heat": "cold", "smell": "none", "pieces": "gone", "colour": "dark"}
    asked = []
    while (step := ripeness.ripeness("2026-01-01", "2026-03-20", 8, **told))["ask"] != "nothing":
        asked.append(step["ask"])
        told[step["ask"]] = answers[step["ask"]]
    assert asked == ["heat", "smell", "pieces", "colour"] and step["verdict"] == "ready"


@pytest.mark.parametrize(
    ("sign", "against"),
    [({"heat": "hot"}, "hot"), ({"smell": "sour"}, "smells"), ({"pieces": "most"}, "pieces")],
)
def test_one_bad_sign_is_enough_for_not_ready(sign: dict[str, str], against: str) -> None:
    found = ripeness.ripeness("2026-01-01", "2026-03-20", 8, **sign)
    assert (found["verdict"], found["against"]) == ("not_ready", against)


@pytest.mark.parametrize(
    ("compost", "soil", "verdict"),
    [(10, 10, "well"), (8, 10, "well"), (7, 10, "fairly"), (2, 10, "badly"), (3, 3, "bad_seed")],
)
def test_the_sprout_test(compost: float, soil: float, verdict: str) -> None:
    """Over 80 % of the control is mature: TMECC 05.05-A in CCQC 2001, from memory."""
    assert ripeness.sprouts(compost, soil) == {"verdict": verdict}


def test_heat_is_proven_by_thermometer_and_turns_only() -> None:
    """15 days at 55 C with 5 turns: 7 CFR 205.203(c)(2)(iii)."""
    heats = [[day, 60.0] for day in range(1, 18)]
    assert ripeness.hygiene("2026-01-01", "2026-02-01", heats, [3, 6, 9, 12, 15])["proven"] == "yes"
    assert ripeness.hygiene("2026-01-01", "2026-02-01", heats, [3, 6])["touching"] == 120
    assert ripeness.hygiene("2026-01-01", "2026-02-01", [], [3, 6, 9, 12, 15])["above"] == 90


def test_days_before_and_the_day_to_start() -> None:
    assert seasons.day_before("2026-03-01", 1) == {"verdict": "fine", "day": "2026-02-28"}
    assert seasons.day_before("2026-03-01", -1)["verdict"] == "impossible"
    # 20 weeks until planting, 8 weeks to ripen, 2 to gather: 10 weeks from today.
    assert seasons.start_by("2026-01-01", 20) == {"verdict": "fine", "day": "2026-03-12"}
    assert seasons.start_by("2026-01-01", 9)["verdict"] == "late"


def test_what_is_brought_leaves_less_to_bring() -> None:
    nothing = gathering.gathered(SIZE, MIX)
    need = {item["material"]: item["amount"]["n"] for item in nothing["missing"]}
    some = gathering.gathered(SIZE, MIX, said=said("cattle_manure", 5, "wheelbarrow"))
    left = {item["material"]: item["amount"]["n"] for item in some["missing"]}
    assert left["cattle_manure"] == need["cattle_manure"] - 5 and left["maize_stalks"] == need["maize_stalks"]
    more = gathering.gathered(SIZE, MIX, None, some["gathered"], said("cattle_manure"))
    assert "cattle_manure" not in {item["material"] for item in more["missing"]}


def test_all_brought_is_enough() -> None:
    brought = gathering.gathered(SIZE, MIX, said={**said("cattle_manure"), "known": MIX["known"]})
    assert brought["left"] == "nothing" and brought["missing"] == []


def test_a_pile_left_unturned_is_cared_for_longer() -> None:
    turned, never = (
        caring.care("2026-01-01", "2026-04-01", SIZE, MIX, turning=turning)["time"]
        for turning in ("yes", "no")
    )
    assert (turned, never) == ("over", "later")


def test_a_remedy_given_is_not_given_again() -> None:
    told = {
        "squeeze": "dry",
        "smell": "none",
        "look": "ordinary",
        "asked": ["squeeze", "smell", "look", "rain"],
    }
    first = diagnosing.diagnose("2026-01-01", "2026-01-20", SIZE, MIX, **told)
    second = diagnosing.diagnose("2026-01-01", "2026-01-27", SIZE, MIX, **told, tried=first["tried"])
    third = diagnosing.diagnose(
        "2026-01-01", "2026-02-03", SIZE, MIX, **told, tried=second["tried"] + ["too_wet"]
    )
    assert first["cause"] == "too_dry" and second["cause"] != "too_dry" and third["cause"] == "unclear"


def test_the_outlook_moves_with_what_is_told() -> None:
    def seen(*history: list[object], turning: str = "yes") -> dict[str, object]:
        return foreseeing.foresee("2026-03-02", "2026-04-06", SIZE, MIX, None, history, turning)

    hot, cold = (
        seen([14, "feel", "hot", None], [28, "feel", "hot", None]),
        seen([7, "feel", "cold", None], [14, "feel", "cold", None]),
    )
    assert hot["known"] == "yes" and hot["ready_from"] < hot["ready_to"]
    assert cold != hot and seen([28, "feel", "too_hot", 72.0])["known"] == "yes"


def test_turned_piles_are_expected_in_two_months_and_unturned_in_a_year() -> None:
    """6 to 8 weeks turned weekly, 6 to 12 months never turned: common practice."""
    turned = foreseeing.foresee("2026-03-02", "2026-03-23", SIZE, MIX, turning="yes")
    told = [[4, "feel", "hot", None], [28, "feel", "warm", None]]
    never = foreseeing.foresee("2026-03-02", "2026-05-04", SIZE, MIX, None, told, "no")
    assert "2026-03-30" < turned["ready_from"] < "2026-05-01" and turned["ready_to"] < "2026-06-30"
    assert never["known"] == "yes" and "2026-06-01" < never["ready_from"] < "2026-12-31"


def test_slips_and_impossible_readings_do_not_stop_the_outlook() -> None:
    history = [
        [3, "feel", "cold", None],
        [3, "feel", "hot", None],
        [4, "feel", "impossible", 300.0],
        [5, "rain", "12", None],
    ]
    assert foreseeing.foresee("2026-03-02", "2026-03-12", SIZE, MIX, None, history)["known"] == "yes"
    assert foreseeing.foresee("2026-03-02", "2026-03-12", SIZE, {"known": []})["known"] == "no"
