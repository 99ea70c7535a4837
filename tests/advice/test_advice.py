"""Computations of the dialogues, against sums that can be done by hand. Practice: 25 cm plants to 5 cm manure."""

from __future__ import annotations

from typing import Any

import pytest

from bot.advice import building, caring, diagnosing, field, planning
from bot.advice.amounts import Carrier
from bot.advice.kinds import heat_of, materials_of
from bot.reading.meaning import MaterialAmount, Meaning

SIZE = [2.0, 2.0, 2.0]
BUCKET = {"measure": "bucket", "litres": 20.0}


def materials(*names: str, **amounts: float) -> dict[str, Any]:
    told = [{"material": n, "amount": amounts.get(n), "measure": None} for n in names]
    return {"known": told, "near": [], "unknown": [], "forbidden": []}


GOOD = materials("maize_stalks", "goat_manure")


@pytest.mark.parametrize(
    ("celsius", "heat"),
    [
        (-30, "impossible"), (4, "cold"), (29.9, "cold"), (30, "warm"), (49.9, "warm"), (50, "hot"), (69.9, "hot"),
        (70, "too_hot"), (95, "too_hot"), (95.1, "impossible"), (300, "impossible"),
    ],
)  # fmt: skip
def test_a_temperature_falls_into_a_band(celsius: float, heat: str) -> None:
    """Common practice; no published source."""
    assert heat_of(Meaning(text="", celsius=celsius)) == heat


def test_a_word_serves_where_there_is_no_thermometer() -> None:
    assert heat_of(Meaning(text="", feel="warm")) == "warm" and heat_of(Meaning(text="")) is None


def test_a_message_that_names_no_material_says_nothing_of_them() -> None:
    assert materials_of(Meaning(text="hello")) is None
    named = Meaning(text="", materials=(MaterialAmount("ash", 2.0, "bucket"),), unknown=("zibuko",))
    assert materials_of(named)["unknown"] == ["zibuko"]  # type: ignore[index]


@pytest.mark.parametrize(
    ("size", "verdict"),
    [
        ([2, 2, 2], "fine"), ([1, 1, 1], "fine"), ([0.5, 2, 2], "small"), ([2, 2, 2.5], "tall"),
        ([20, 20, 20], "impossible"), ([0, 0, 0], "impossible"), ([-3, 2, 2], "impossible"), ([1e9, 2, 2], "impossible"),
    ],
)  # fmt: skip
def test_sizes(size: list[float], verdict: str) -> None:
    assert planning.judge_size(size) == {"verdict": verdict}


def test_own_measures_scale_the_amounts() -> None:
    twenty, ten = (Carrier({"measure": "bucket", "litres": litres}) for litres in (20.0, 10.0))
    assert twenty.amount(0.2, "goat_manure")["n"] == pytest.approx(10)
    assert ten.amount(0.2, "goat_manure")["n"] == pytest.approx(20)
    assert twenty.water(100) == {"n": 5, "measure": "bucket"}


def test_a_bucket_that_cannot_be_is_taken_for_the_usual_one() -> None:
    usual = Carrier({"measure": "bucket", "litres": None}).litres("bucket")
    assert Carrier({"measure": "bucket", "litres": 1e6}).litres("bucket") == usual


def test_manure_there_and_back() -> None:
    """The pile that an amount of manure is enough for takes that amount again, within rounding for speech."""
    need = planning.manure_for(SIZE, materials("goat_manure"), BUCKET)["need"][0]["amount"]["n"]
    back = planning.size_for(materials("goat_manure", goat_manure=need), BUCKET)
    assert back["verdict"] == "fine" and back["size"] == pytest.approx(SIZE, rel=0.1)
    # A sixth of what lies above foundation and cap, 8 m3 in all: between 0.8 and 1.4 m3 of 20 litres each.
    assert 40 <= need <= 70


def test_what_is_said_of_materials_adds_up_over_several_replies() -> None:
    first = planning.sort_materials(materials("maize_stalks"))
    assert (first["trouble"], first["empty"]) == ("no", "no")
    second = planning.sort_materials({**materials("ash"), "unknown": ["zibuko"]}, first["materials"])
    assert second["trouble"] == "strange"
    assert [m["material"] for m in second["materials"]["known"]] == ["maize_stalks", "ash"]
    nothing = planning.sort_materials({**materials(), "forbidden": ["meat"]})
    assert (nothing["trouble"], nothing["empty"]) == ("forbidden", "yes")


def test_a_word_that_fits_one_of_those_offered_is_that_one() -> None:
    said = {**materials(), "near": ["maize_stalks", "maize_cobs"]}
    offered = planning.sort_materials(said, None, ["maize_stalks", "rice_straw"])
    assert offered["trouble"] == "no" and offered["materials"]["known"][0]["material"] == "maize_stalks"
    assert planning.sort_materials(said, None, ["maize_stalks", "maize_cobs"])["trouble"] == "near"


def test_the_layers_add_up_to_the_shopping_list() -> None:
    recipe = planning.recipe(SIZE, GOOD, BUCKET)
    bought = {item["material"]: item["amount"]["n"] for item in recipe["shopping"]}
    laid = dict.fromkeys(bought, 0.0)
    position, part = None, ""
    for _ in range(20):
        layer = building.layer(SIZE, GOOD, BUCKET, position, "next")
        position, part = layer["position"], layer["part"]
        if part == "finished":
            break
        for item in layer["items"]:
            if item["material"] in laid:
                laid[item["material"]] += item["amount"]["n"]
    assert part == "finished"
    for material, amount in bought.items():
        assert laid[material] == pytest.approx(amount, rel=0.25), material


def test_back_does_not_go_before_the_first_layer_and_next_not_past_the_last() -> None:
    assert building.layer(SIZE, GOOD, None, 1, "back")["position"] == 1
    assert building.layer(SIZE, GOOD, None, 500, "next")["part"] == "finished"
    rest = building.layer(SIZE, GOOD, None, 1, "rest")
    assert rest["part"] == "rest" and rest["left"] == rest["rounds"]


def test_mixes_are_judged() -> None:
    assert planning.recipe(SIZE, GOOD)["verdict"] == "good"
    assert planning.recipe(SIZE, materials("sawdust", "cattle_manure"))["verdict"] == "slow"
    assert (
        planning.recipe(SIZE, materials("green_grass", "poultry_manure", "vegetable_scraps"))["verdict"]
        == "smells"
    )
    assert planning.recipe(SIZE, materials("maize_stalks"))["trouble"] == "no_feed"
    assert planning.recipe(SIZE, materials("ash"))["trouble"] == "no_vegetation"


def test_rain_replaces_the_watering_and_a_wet_pile_gets_none() -> None:
    def care(**more: Any) -> dict[str, Any]:
        return caring.care("2026-03-02", "2026-03-16", SIZE, GOOD, BUCKET, latitude=0.0, **more)

    assert (care()["watering"], care(rain_mm=80.0)["watering"]) == ("needed", "rain")
    assert care(squeeze="wet")["watering"] == "damp"
    assert care()["water"]["n"] > 0 and care()["week"] == 2


def test_the_weeks_of_care_end() -> None:
    times = [caring.care("2026-03-02", f"2026-05-{day:02d}", SIZE, GOOD)["time"] for day in (3, 11)]
    assert times == ["later", "over"]
    assert caring.age_days("2026-03-02", "2026-02-28") == 0


@pytest.mark.parametrize(("squeeze", "cause"), [("dry", "too_dry"), ("wet", "too_wet")])
def test_a_cold_pile_asks_at_most_three_questions_and_comes_to_a_cause(squeeze: str, cause: str) -> None:
    known: dict[str, Any] = {"built_on": "2026-03-02", "today": "2026-03-12", "size": SIZE, "materials": GOOD}
    asked: list[str] = []
    answers = {"squeeze": squeeze, "smell": "none", "look": "ordinary", "rain": "none", "animals": "none"}
    answers["heated_before"] = "no"
    told: dict[str, str] = {}
    for _ in range(10):
        found = diagnosing.diagnose(**known, **told, asked=asked)
        if found["ask"] == "nothing":
            break
        told[{"heated_before": "heated"}.get(found["ask"], found["ask"])] = answers[found["ask"]]
        asked = found["asked"]
    assert found["ask"] == "nothing" and len(asked) <= 3
    assert found["cause"] == cause and found["check_days"] > 0


@pytest.mark.parametrize("size", [[0.5, 0.5, 0.5], [12.0, 12.0, 3.0]])
def test_every_computation_takes_small_and_large_piles(size: list[float]) -> None:
    assert planning.recipe(size, GOOD)["shopping"]
    assert field.reach(size, GOOD)["area"] >= 0
    assert caring.drench(size, GOOD)["water"]["n"] > 0
    assert building.layer(size, GOOD, None, None, "next")["items"]
