"""Computations for ripe compost: what to look at next, the verdict, and the sprout test."""

from __future__ import annotations

from typing import Any

from bot.advice.caring import age_days
from bot.compost import CompostError, CoreReading, Signs, judge_hygiene, readiness, seedling_class

Result = dict[str, Any]
ORDER = ("heat", "smell", "pieces", "colour")
_PIECES = {"gone": "none", "some": "few", "most": "many"}
_COLOURS = {"dark": "dark", "brown": "brown", "unchanged": "as_built"}


def ripeness(
    built_on: str,
    today: str,
    turns: float | None = None,
    heat: str | None = None,
    smell: str | None = None,
    pieces: str | None = None,
    colour: str | None = None,
    sprouts: str | None = None,
    turning: str | None = None,
) -> Result:
    """The next sign to look at, or the verdict with what speaks against it first.

    turns : those that were told. turning : `no` if the farmer has said that the pile is not turned; else it
    was turned every week, as asked, for few farmers tell each turn.
    sprouts : `well`, `fairly` or `badly`: what the sprout test said.
    """
    age = age_days(built_on, today)
    signs = Signs(
        age_days=age, turns=round(turns or 0) if turning == "no" else max(round(turns or 0), age // 7),
        heat=heat, smell=_smell(smell), pieces=_PIECES.get(pieces or ""), colour=_COLOURS.get(colour or ""),  # type: ignore[arg-type]
        germination_index={"well": 90.0, "fairly": 70.0, "badly": 30.0}.get(sprouts or ""),
    )  # fmt: skip
    found = readiness(signs)
    ask = next((name for name in ORDER if name in found.ask), "nothing")
    return {
        "ask": ask,
        "verdict": found.verdict,
        "against": found.against[0] if found.against else "nothing",
    }


def _smell(smell: str | None) -> str | None:
    """No smell at all speaks against nothing, as an earthy one."""
    return "earthy" if smell == "none" else smell


def sprouts(in_compost: float, in_soil: float) -> Result:
    """The sprout test: seeds that came up in compost against as many sown in good soil.

    verdict : well, fairly, badly; `bad_seed` if too few came up in the soil to tell.
    """
    if in_soil < 5:
        return {"verdict": "bad_seed"}
    try:
        seedlings = seedling_class(min(100.0 * in_compost / in_soil, 200.0))
    except CompostError:
        return {"verdict": "bad_seed"}
    if seedlings == "immature":
        return {"verdict": "fairly" if in_compost >= in_soil / 2 else "badly"}
    return {"verdict": "well"}


def hygiene(built_on: str, today: str, heats: list[list[float]], turned: list[float]) -> Result:
    """Whether a thermometer has proven the heat that kills germs, and the days to keep until harvest.

    heats : day since building and temperature [C] of each reading; turned : days of turning.
    """
    age = age_days(built_on, today)
    readings = [
        CoreReading(day, celsius) for day, celsius in heats if 0 <= day <= age and -30 <= celsius <= 100
    ]
    found = judge_hygiene(
        readings, [day for day in turned if 0 <= day <= age], today=age,
        evidence="thermometer" if readings else "stick",
    )  # fmt: skip
    return {
        "proven": "yes" if found.proven else "no",
        "touching": found.wait_touching_soil_d,
        "above": found.wait_above_soil_d,
    }
