"""What to do about a cause, with an amount worked out from the pile as it is."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Mapping

import msgspec

from .diagnosis_table import CauseTable, RemedyRule
from .errors import UnknownName, check_range
from .materials import Material
from .mix import Mix, amount_for_cn, amount_for_moisture, water_to_add_kg

# Moisture [kg/kg wet] that a squeezed handful speaks for: lowest, typical, highest. RANGE-15, extension
# pages, from memory; the outer limits are estimates.
SQUEEZE_MOISTURE: Mapping[str, tuple[float, float, float]] = {
    "dry": (0.10, 0.32, 0.40),
    "damp": (0.45, 0.55, 0.62),
    "wet": (0.63, 0.70, 0.85),
}
CARBON_DRY_USUAL = 0.45  # [kg/kg dry] plants 0.40 to 0.55, manures 0.35 to 0.48; practice
MOST_ADDED = 0.30  # [m3/m3] of the pile's volume in one go, so that a remedy stays one day's work; estimate
DRY_ENOUGH = 0.35  # [kg/kg wet] what still soaks up water; estimate
_CAUTIONS: Mapping[str, tuple[str, ...]] = {
    "turn": ("steam", "dust", "lift"),
    "remix": ("steam", "dust", "lift"),
    "add_bulk": ("steam", "dust", "lift"),
    "chop": ("blade", "dust"),
    "add_nitrogen": ("raw_manure",),
    "stop_ash": ("ash_eyes",),
    "turn_to_cool": ("steam", "lift"),
    "keep_back": ("keep_back", "fire_service"),
    "guard": ("animals",),
    "turn_and_cover": ("steam", "lift"),
}


class PileNow(msgspec.Struct, frozen=True, kw_only=True):
    """The pile as it is believed to be. volume_m3 [m3], wet_mass_kg [kg], moisture [kg/kg wet, None:
    unknown], cn_ratio [-, None: unknown], age_days [d], carbon_dry [kg/kg dry]."""

    volume_m3: float
    wet_mass_kg: float
    moisture: float | None = None
    cn_ratio: float | None = None
    age_days: float = 0.0
    carbon_dry: float = CARBON_DRY_USUAL


class Remedy(msgspec.Struct, frozen=True, kw_only=True):
    """One action.

    kind : what to do, an id of the table (add_water, add_dry, turn, ...).
    material : id of what to add from what is at hand, None if nothing there serves.
    litres : water to add. [L]
    volume_m3 : loose volume to add, None where there is no amount. [m3]
    days : how long to wait before it can be judged, for kind `wait`. [d]
    check_after_days : when to look again. [d]
    capped : the full amount would be more than one day's work; this is the first part.
    cautions : ids of the warnings that belong to the work.
    """

    cause: str
    kind: str
    check_after_days: int
    material: str | None = None
    litres: float | None = None
    volume_m3: float | None = None
    days: float | None = None
    capped: bool = False
    cautions: tuple[str, ...] = ()


def remedy(
    table: CauseTable,
    cause: str,
    pile: PileNow,
    at_hand: Collection[Material] = (),
    squeeze: str | None = None,
) -> Remedy:
    """The action against `cause`, with its amount for this pile.

    at_hand : what could be added; the best fitted one is chosen.
    squeeze : dry, damp or wet, if the farmer squeezed a handful; it corrects the believed moisture.
    Raises UnknownName for a cause or squeeze that is not known, OutOfRange for a pile that cannot be.
    """
    if cause not in table.cause:
        raise UnknownName("cause", cause)
    _check_pile(pile)
    rule = table.cause[cause].remedy
    base = Remedy(
        cause=cause,
        kind=rule.kind,
        check_after_days=rule.check_after_days,
        cautions=_CAUTIONS.get(rule.kind, ()),
    )
    amount = _AMOUNTS.get(rule.kind)
    if amount is None or rule.target is None:
        return base
    moisture = believed_moisture(pile.moisture, squeeze)
    return amount(base, rule, msgspec.structs.replace(pile, moisture=moisture), at_hand)


def believed_moisture(estimate: float | None, squeeze: str | None) -> float:
    """Moisture from a calculated estimate and a squeezed handful, wet basis.

    estimate : what the record says, or None. [kg/kg]
    squeeze : dry, damp, wet or None.
    Returns the estimate, moved to the nearest limit of what the handful speaks for: the smaller correction,
    because water is more easily added twice than taken out. [kg/kg]
    Raises UnknownName. Source: RANGE-15 bands, extension pages, from memory.

    >>> believed_moisture(0.55, "dry")
    0.4
    """
    if squeeze is None:
        return 0.55 if estimate is None else estimate
    if squeeze not in SQUEEZE_MOISTURE:
        raise UnknownName("squeeze", squeeze)
    low, typical, high = SQUEEZE_MOISTURE[squeeze]
    return typical if estimate is None else min(max(estimate, low), high)


def _check_pile(pile: PileNow) -> None:
    check_range("volume", pile.volume_m3, 0.001, 1000.0, "m3")
    check_range("wet mass", pile.wet_mass_kg, 0.1, 1e6, "kg")
    check_range("age", pile.age_days, 0.0, 3650.0, "d")
    if pile.moisture is not None:
        check_range("moisture", pile.moisture, 0.0, 0.99, "kg/kg")
    if pile.cn_ratio is not None:
        check_range("C:N", pile.cn_ratio, 0.1, 2000.0, "")


def _water(base: Remedy, rule: RemedyRule, pile: PileNow, at_hand: Collection[Material]) -> Remedy:
    # The pile is dry by the evidence: where the record disagrees, start from the wettest dry handful.
    moisture = min(pile.moisture or 0.0, SQUEEZE_MOISTURE["dry"][2])
    litres = water_to_add_kg(pile.wet_mass_kg, moisture, _target(rule))
    return msgspec.structs.replace(base, litres=litres)


def _dry(base: Remedy, rule: RemedyRule, pile: PileNow, at_hand: Collection[Material]) -> Remedy:
    moisture = max(pile.moisture or 0.0, SQUEEZE_MOISTURE["wet"][0])
    drier = [a for a in at_hand if a.rots and a.moisture.typical < DRY_ENOUGH]
    if not drier:
        return _share(base, pile, MOST_ADDED)
    best = max(drier, key=lambda a: (_target(rule) - a.moisture.typical) * a.density_kg_m3())
    wet = msgspec.structs.replace(pile, moisture=moisture)
    return _of(base, pile, best, amount_for_moisture(_as_mix(wet), best, _target(rule)))


def _nitrogen(base: Remedy, rule: RemedyRule, pile: PileNow, at_hand: Collection[Material]) -> Remedy:
    rich = [a for a in at_hand if a.rots and a.nitrogen.typical * _target(rule) > a.carbon.typical]
    if not rich:
        return _share(base, pile, 0.10)
    best = max(rich, key=lambda a: a.nitrogen.typical * (1 - a.moisture.typical) * a.density_kg_m3())
    return _of(base, pile, best, _for_cn(pile, best, _target(rule)))


def _carbon(base: Remedy, rule: RemedyRule, pile: PileNow, at_hand: Collection[Material]) -> Remedy:
    poor = [a for a in at_hand if a.carbon.typical > _target(rule) * a.nitrogen.typical and a.rots]
    if not poor:
        return _share(base, pile, 0.20)
    best = max(
        poor, key=lambda a: (a.carbon.typical - _target(rule) * a.nitrogen.typical) * (1 - a.moisture.typical)
    )
    return _of(base, pile, best, _for_cn(pile, best, _target(rule)))


def _enlarge(base: Remedy, rule: RemedyRule, pile: PileNow, at_hand: Collection[Material]) -> Remedy:
    return msgspec.structs.replace(base, volume_m3=max(_target(rule) ** 3 - pile.volume_m3, 0.0))


def _cover(base: Remedy, rule: RemedyRule, pile: PileNow, at_hand: Collection[Material]) -> Remedy:
    # Top and four sides of a cube of the pile's volume.
    return msgspec.structs.replace(base, volume_m3=5 * pile.volume_m3 ** (2 / 3) * _target(rule))


def _part(base: Remedy, rule: RemedyRule, pile: PileNow, at_hand: Collection[Material]) -> Remedy:
    return _share(base, pile, _target(rule))


def _wait(base: Remedy, rule: RemedyRule, pile: PileNow, at_hand: Collection[Material]) -> Remedy:
    days = max(_target(rule) - pile.age_days, 1.0)
    return msgspec.structs.replace(base, days=days, check_after_days=round(days))


def _share(base: Remedy, pile: PileNow, share: float) -> Remedy:
    return msgspec.structs.replace(base, volume_m3=share * pile.volume_m3)


def _as_mix(pile: PileNow) -> Mix:
    """What is known of the pile as a mix; what is not asked of it (ash, food) is left at 0."""
    dry = pile.wet_mass_kg * (1 - (pile.moisture or 0.0))
    carbon = dry * pile.carbon_dry
    return Mix(
        volume_m3=pile.volume_m3,
        mass_kg=pile.wet_mass_kg,
        water_kg=pile.wet_mass_kg - dry,
        carbon_kg=carbon,
        nitrogen_kg=carbon / pile.cn_ratio if pile.cn_ratio else 0.0,
        ash_kg=0.0,
        fast_kg=0.0,
        slow_kg=0.0,
    )


def _for_cn(pile: PileNow, material: Material, target: float) -> float:
    """Volume that brings the pile to a C:N; infinite if the record gives no reason to add this. [m3]"""
    return amount_for_cn(_as_mix(pile), material, target) if pile.cn_ratio else math.inf


def _of(base: Remedy, pile: PileNow, material: Material, volume_m3: float) -> Remedy:
    """So much of a material; a tenth of the pile where the record gives no reason for an amount."""
    most = MOST_ADDED * pile.volume_m3
    volume = 0.10 * pile.volume_m3 if math.isinf(volume_m3) else volume_m3
    return msgspec.structs.replace(
        base, material=material.id, volume_m3=min(volume, most), capped=volume > most
    )


def _target(rule: RemedyRule) -> float:
    return rule.target or 0.0  # remedy() calls no sum for a rule without a target


_AMOUNTS: Mapping[str, Callable[[Remedy, RemedyRule, PileNow, Collection[Material]], Remedy]] = {
    "add_water": _water,
    "add_dry": _dry,
    "add_nitrogen": _nitrogen,
    "add_carbon": _carbon,
    "add_bulk": _part,
    "add_vegetation": _part,
    "guard": _cover,
    "cover": _cover,
    "turn_and_cover": _cover,
    "enlarge": _enlarge,
    "wait": _wait,
}
