"""Whether a mix will do, and the one addition that would mend it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import msgspec

from .constants import (
    CN_PREFERRED,
    CN_TOLERATED,
    FREE_AIR_SPACE_LEAST,
    MOISTURE_PREFERRED,
    MOISTURE_TOLERATED,
)
from .materials import Catalogue, Material
from .mix import Mix, Part, add_mixes, amount_for_cn, amount_for_moisture, mix_of

Kind = Literal["good", "slow", "will_smell"]
Reason = Literal["cn_high", "cn_low", "too_wet", "little_air"]

# What to propose when nothing at hand serves, the commonest first. Practice.
USUAL_FEED = ("cattle_manure", "goat_manure", "poultry_manure", "legume_leaves")
USUAL_DRY = ("dry_grass", "maize_stalks", "dry_leaves", "wheat_straw", "rice_straw")
ADDITION_MOST = 2.0  # [m3/m3] of the mix: more would be another heap; estimate


class Verdict(msgspec.Struct, frozen=True):
    """`slow`: too much carbon. `will_smell`: too much nitrogen, or too wet or dense for air. Being too dry is
    no fault, because water mends it."""

    kind: Kind
    reasons: tuple[Reason, ...] = ()


class Addition(msgspec.Struct, frozen=True):
    """One more material that mends a mix: how much, and whether the farmer has named it as at hand."""

    material: str
    volume_m3: float
    at_hand: bool


def judge(mix: Mix) -> Verdict:
    """Verdict on a mix as it lies, before watering.

    Returns the verdict, with every reason.
    Raises TooLittle for a mix without nitrogen.
    Source: C:N 20 to 40 and moisture to 65 %, CIAS 2002, Table 1; free air space 30 %, Haug 1993 (from
    memory).
    """
    reasons: list[Reason] = []
    if mix.cn_ratio > CN_TOLERATED[1]:
        reasons.append("cn_high")
    if mix.cn_ratio < CN_TOLERATED[0]:
        reasons.append("cn_low")
    if mix.moisture > MOISTURE_TOLERATED[1]:
        reasons.append("too_wet")
    if mix.free_air_space < FREE_AIR_SPACE_LEAST:
        reasons.append("little_air")
    if not reasons:
        return Verdict("good")
    return Verdict("slow" if reasons == ["cn_high"] else "will_smell", tuple(reasons))


def mend(catalogue: Catalogue, mix: Mix, at_hand: Sequence[str]) -> Addition | None:
    """The single addition that brings a bad mix to the nearest edge of the preferred ranges.

    catalogue : materials.
    mix : what rots together, before watering.
    at_hand : ids of materials that the farmer has; these are tried first.
    Returns the addition, or None when the mix is good or no one material mends it.
    Raises UnknownMaterial, TooLittle.
    Source: mass balance, see `addition_for_cn` and `addition_for_moisture`.
    """
    verdict = judge(mix)
    if verdict.kind == "good":
        return None
    own = [found for name in at_hand if (found := _addition(verdict, mix, catalogue[name], True))]
    if own:
        return min(own, key=lambda addition: addition.volume_m3)
    names = USUAL_FEED if "cn_high" in verdict.reasons else USUAL_DRY
    return next((found for name in names if (found := _addition(verdict, mix, catalogue[name], False))), None)


def addition_for_cn(mix: Mix, material: Material) -> float:
    """Volume of a material that brings the C:N of a mix into 25 to 30.

    Returns the volume, 0 if it is there already, infinite if this material cannot. [m3]
    Raises TooLittle for a mix without nitrogen.
    Source: `amount_for_cn`, to 30 from above and to 25 from below.
    """
    low, high = CN_PREFERRED
    if low <= mix.cn_ratio <= high:
        return 0.0
    return amount_for_cn(mix, material, high if mix.cn_ratio > high else low)


def addition_for_moisture(mix: Mix, material: Material) -> float:
    """Volume of a drier material that brings the moisture of a mix down to 60 %.

    Returns the volume, 0 if it is dry enough, infinite if this material is too wet. [m3]
    Raises nothing beyond what `mix_of` does.
    Source: `amount_for_moisture`.
    """
    goal = MOISTURE_PREFERRED[1]
    return 0.0 if mix.moisture <= goal else amount_for_moisture(mix, material, goal)


def _addition(verdict: Verdict, mix: Mix, material: Material, at_hand: bool) -> Addition | None:
    if not material.rots:
        return None
    wrong_cn = "cn_high" in verdict.reasons or "cn_low" in verdict.reasons
    wet = "too_wet" in verdict.reasons or "little_air" in verdict.reasons
    volume = max(
        addition_for_cn(mix, material) if wrong_cn else 0.0,
        addition_for_moisture(mix, material) if wet else 0.0,
    )
    if not 0 < volume <= ADDITION_MOST * mix.volume_m3:
        return None
    after = add_mixes(mix, mix_of([Part(material, volume)]))
    return Addition(material.id, volume, at_hand) if judge(after).kind == "good" else None
