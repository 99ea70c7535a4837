"""Whether compost is ready to use, what speaks against it, and what is not known yet."""

from __future__ import annotations

from typing import Literal

import msgspec

from .errors import check_range

ReadyVerdict = Literal["ready", "cure", "not_ready", "unknown"]
Against = Literal[
    "hot",
    "reheats",
    "smells",
    "pieces",
    "colour",
    "not_crumbly",
    "too_young",
    "cn_high",
    "harms_seeds",
    "weak_seeds",
]
Ask = Literal["heat", "smell", "pieces", "colour", "crumb", "reheats", "germination"]

AGE_TURNED_D = 42.0  # [d] turned weekly: 6 to 8 weeks; practice
AGE_TURNED_SURE_D = 56.0  # [d] practice
AGE_UNTURNED_D = 182.0  # [d] never turned: 6 to 12 months; practice
AGE_UNTURNED_SURE_D = 365.0  # [d] practice
CURE_D = 28.0  # [d] four weeks covered and at rest; practice, estimate
CN_MOST = 25.0  # [-] first gate of the maturity index, CCQC 2001, from memory
INDEX_MATURE, INDEX_TOXIC = 80.0, 50.0  # [%] Zucconi et al. 1981, from memory


class Signs(msgspec.Struct, frozen=True, kw_only=True):
    """What is known of the compost; None is not known. age_days [d]; turns: how often it was turned.

    germination_index [%] is that of `germination_index`.
    """

    age_days: float
    turns: int = 0
    heat: Literal["cold", "warm", "hot"] | None = None
    reheats: bool | None = None
    smell: Literal["earthy", "ammonia", "rotten", "sour"] | None = None
    pieces: Literal["none", "few", "many"] | None = None
    colour: Literal["dark", "brown", "as_built"] | None = None
    crumbly: bool | None = None
    cn_ratio: float | None = None
    germination_index: float | None = None


class Readiness(msgspec.Struct, frozen=True, kw_only=True):
    """The verdict, what speaks against it, what to look at next, and days to wait at least. [d]"""

    verdict: ReadyVerdict
    against: tuple[Against, ...]
    ask: tuple[Ask, ...]
    wait_days: float


def germination_index(sprouts: int, root_mm: float, control_sprouts: int, control_root_mm: float) -> float:
    """Germination index of seeds in compost or its extract against seeds in water or good soil.

    sprouts, control_sprouts : seeds that came up, of equally many sown; control above 0.
    root_mm, control_root_mm : mean length of the roots; control above 0. [mm]
    Returns the index; 100 is as good as the control. [%]
    Raises OutOfRange.
    Source: Zucconi et al. 1981 (from memory): relative germination times relative root length.

    >>> germination_index(9, 36.0, 10, 40.0)
    81.0
    """
    check_range("control_sprouts", control_sprouts, 1, 10_000, "seeds")
    check_range("sprouts", sprouts, 0, 10_000, "seeds")
    check_range("control_root_mm", control_root_mm, 0.1, 1000, "mm")
    check_range("root_mm", root_mm, 0, 1000, "mm")
    return 100 * (sprouts / control_sprouts) * (root_mm / control_root_mm)


def seedling_class(emergence_percent: float) -> Literal["very_mature", "mature", "immature"]:
    """Class of a compost by how many seedlings come up, against the control.

    emergence_percent : 0 to 200. [%] Returns the class.
    Raises OutOfRange. Source: TMECC 05.05-A in CCQC 2001, from memory: over 90, 80 to 90, under 80.

    >>> seedling_class(85)
    'mature'
    """
    check_range("emergence_percent", emergence_percent, 0, 200, "%")
    if emergence_percent > 90:
        return "very_mature"
    return "mature" if emergence_percent >= 80 else "immature"


def readiness(signs: Signs) -> Readiness:
    """Whether compost is ready.

    signs : what is known. Returns the verdict: not_ready while it is still working, cure where it only needs
    rest, unknown where a sign that decides is not known (its name is in `ask`), else ready.
    Raises OutOfRange.
    Source: common practice (dark, crumbly, sweet-smelling, does not heat again; 6 to 8 weeks turned, 6 to 12
    months unturned); C:N 25, CCQC 2001; germination index 80 and 50 %, Zucconi et al. 1981 (both from
    memory).
    """
    check_range("age_days", signs.age_days, 0, 3650, "d")
    check_range("turns", signs.turns, 0, 1000, "turns")
    if signs.cn_ratio is not None:
        check_range("cn_ratio", signs.cn_ratio, 1, 1000, "-")
    if signs.germination_index is not None:
        check_range("germination_index", signs.germination_index, 0, 400, "%")
    working, resting, ask = _still_working(signs), _needs_rest(signs), _unknown(signs)
    least, _ = usual_age_days(signs)
    wait = max(0.0, least - signs.age_days)
    if working:
        return Readiness(verdict="not_ready", against=(*working, *resting), ask=(), wait_days=max(wait, 7.0))
    if resting:
        return Readiness(verdict="cure", against=tuple(resting), ask=(), wait_days=CURE_D)
    if ask:
        return Readiness(verdict="unknown", against=(), ask=tuple(ask), wait_days=0.0)
    return Readiness(verdict="ready", against=(), ask=(), wait_days=0.0)


def usual_age_days(signs: Signs) -> tuple[float, float]:
    """Age at which such a heap is usually ready, earliest and latest. [d]

    Between never turned and turned weekly the ages fall evenly with the turns a week.
    Raises OutOfRange. Source: common practice for both ends; the line between is an estimate.

    >>> usual_age_days(Signs(age_days=30, turns=0))
    (182.0, 365.0)
    """
    check_range("age_days", signs.age_days, 0, 3650, "d")
    weeks = max(signs.age_days, 7.0) / 7
    share = min(1.0, signs.turns / min(weeks, AGE_TURNED_D / 7))
    least = AGE_UNTURNED_D + (AGE_TURNED_D - AGE_UNTURNED_D) * share
    most = AGE_UNTURNED_SURE_D + (AGE_TURNED_SURE_D - AGE_UNTURNED_SURE_D) * share
    return least, most


def _still_working(signs: Signs) -> list[Against]:
    index, least = signs.germination_index, usual_age_days(signs)[0]
    # Seeds that thrive, or a heap that does not heat again, prove more than the calendar.
    proven = (index is not None and index >= INDEX_MATURE) or signs.reheats is False
    rules: list[tuple[Against, bool]] = [
        ("hot", signs.heat == "hot"),
        ("reheats", signs.reheats is True),
        ("smells", signs.smell in ("ammonia", "rotten", "sour")),
        ("pieces", signs.pieces == "many"),
        ("colour", signs.colour == "as_built"),
        ("too_young", signs.age_days < least and not proven),
        ("cn_high", signs.cn_ratio is not None and signs.cn_ratio > CN_MOST),
        ("harms_seeds", index is not None and index < INDEX_TOXIC),
    ]
    return [name for name, holds in rules if holds]


def _needs_rest(signs: Signs) -> list[Against]:
    index = signs.germination_index
    rules: list[tuple[Against, bool]] = [
        ("hot", signs.heat == "warm"),
        ("not_crumbly", signs.crumbly is False),
        ("weak_seeds", index is not None and INDEX_TOXIC <= index < INDEX_MATURE),
    ]
    return [name for name, holds in rules if holds]


def _unknown(signs: Signs) -> list[Ask]:
    """Signs that decide and are not known. Good seeds stand in for the eye; the rest is then enough."""
    ask: list[Ask] = [name for name, value in (("heat", signs.heat), ("smell", signs.smell)) if value is None]  # type: ignore[misc]
    if signs.germination_index is None:
        for name, value in (("pieces", signs.pieces), ("colour", signs.colour)):
            if value is None:
                ask.append(name)  # type: ignore[arg-type]
    return ask
