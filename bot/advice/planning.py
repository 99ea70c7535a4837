"""Computations for planning and building: what a pile takes, in the farmer's measures."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from bot.advice.amounts import Carrier, Said, known, sides_of, size_of
from bot.advice.tables import catalogue
from bot.compost import AtHand, CannotReach, CompostError, PilePlan, Size, check_size, plan_pile, size_notes
from bot.compost import manure_for as core_manure_for
from bot.compost import size_for as core_size_for

USUAL_MANURE, USUAL_VEGETATION = "cattle_manure", "maize_stalks"
MEND_MOST = 0.5  # [m3/m3] of the pile; estimate
SMALLEST = Size(1.0, 1.0, 1.0)
Result = dict[str, Any]


def judge_size(size: list[float]) -> Result:
    """Whether a pile of this size can be built and works."""
    try:
        notes = size_notes(check_size(size_of(size)))
    except CompostError:
        return {"verdict": "impossible"}
    return {"verdict": "small" if "too_small" in notes else "tall" if "too_tall" in notes else "fine"}


def sort_materials(said: Said, before: Said | None = None, near: list[str] | None = None) -> Result:
    """Join what was just named to what was named before, and tell what needs a question.

    near : the choices that were offered, for an answer that is only a number.
    beside : what else needs a question where something forbidden was named.
    """
    said = _by_number(said, near or [])
    named = {m["material"]: m for m in (*known(before), *known(said))}
    materials = {"known": list(named.values()), "near": [], "unknown": [], "forbidden": []}
    trouble = next(
        (name for name in ("forbidden", "near") if said[name]), "strange" if said["unknown"] else None
    )
    if trouble is None and not named:
        trouble = "none"
    beside = "near" if said["near"] else "strange" if said["unknown"] else "no"
    return {
        "materials": materials,
        "trouble": trouble or "no",
        "beside": beside if trouble == "forbidden" else "no",
        "empty": "no" if named else "yes",
        "forbidden": said["forbidden"],
        "near": said["near"],
        "unknown": said["unknown"],
    }


def _by_number(said: Said, near: list[str]) -> Said:
    """The answer to `which do you mean?`: a number, or a word that fits only one of those offered."""
    fitting = [material for material in said["near"] if material in near]
    if len(fitting) == 1:
        one = {"material": fitting[0], "amount": None, "measure": None}
        return {**said, "known": [*known(said), one], "near": []}
    number = said.get("number")
    if number is None or number not in range(1, len(near) + 1):
        return said
    return {**said, "known": [{"material": near[int(number) - 1], "amount": None, "measure": None}]}


def feeds(materials: Said | None) -> list[str]:
    """Ids of the materials named that feed a pile as manure does."""
    return [m["material"] for m in known(materials) if "feed" in catalogue()[m["material"]].serves]


def manure_for(
    size: list[float], materials: Said | None = None, measure: Said | None = None, named: Said | None = None
) -> Result:
    """The manure that a pile of this size takes, in the measure `named` in the question if there is one."""
    carrier = Carrier(named or _measure_named(materials) or measure)
    manure = next(iter(feeds(materials)), USUAL_MANURE)
    others = [m["material"] for m in known(materials) if "vegetation" in catalogue()[m["material"]].serves]
    vegetation = next((m for m in others if m != manure), USUAL_VEGETATION)
    plan = core_manure_for(catalogue(), size_of(size), manure, vegetation)
    need = plan.need(manure)
    return {
        "need": carrier.shopping([(manure, need.volume_m3 if need else 0.0)]),
        "holds": round(carrier.litres(carrier.measure)),
    }


def _measure_named(materials: Said | None) -> Said | None:
    named = [m["measure"] for m in known(materials) if m.get("measure")]
    return {"measure": named[0]} if named else None


def size_for(materials: Said, measure: Said | None = None) -> Result:
    """The pile that an amount of manure is enough for."""
    carrier = Carrier(_measure_named(materials) or measure)
    hands = [hand for hand in carrier.at_hand(materials) if hand.volume_m3 is not None]
    if not hands:
        return {"verdict": "no_amount", "size": [0, 0, 0], "material": USUAL_MANURE, "least": []}
    hand = hands[0]
    least = plan_pile(catalogue(), SMALLEST, [AtHand(hand.material), AtHand(USUAL_VEGETATION)]).need(
        hand.material
    )
    out = {
        "material": hand.material,
        "least": carrier.shopping([(hand.material, least.volume_m3)]) if least else [],
    }
    try:
        size = core_size_for(catalogue(), hand.material, hand.volume_m3 or 0.0).size
    except CompostError:
        return out | {"verdict": "little", "size": [0, 0, 0]}
    small = "too_small" in size_notes(size)
    return out | {"verdict": "little" if small else "fine", "size": sides_of(size)}


def plan_of(size: list[float], materials: Said, carrier: Carrier) -> PilePlan:
    """The core's plan for a pile. Raises CannotReach when nothing named rots."""
    return _planned(size_of(size), tuple(carrier.at_hand(materials)))


@lru_cache(maxsize=512)
def _planned(size: Size, hands: tuple[AtHand, ...]) -> PilePlan:
    """A farmer's plan is asked for at every layer, and is the same each time."""
    return plan_pile(catalogue(), size, hands)


def recipe(size: list[float], materials: Said, measure: Said | None = None) -> Result:
    """Everything a pile takes, whether the mix will do, and what would mend it."""
    carrier = Carrier(measure)
    try:
        plan = plan_of(size, materials, carrier)
    except CannotReach:
        return _nothing("no_vegetation")
    missing = {m.use for m in plan.missing}
    trouble = "no_vegetation" if "vegetation" in missing else "no_feed" if "feed" in missing else "none"
    # An addition as big as half the pile is no mending: then the message says what kind of stuff is lacking.
    mends = plan.mend is not None and plan.mend.volume_m3 <= MEND_MOST * plan.volume_m3
    mend = [(plan.mend.material, plan.mend.volume_m3)] if plan.mend and mends else []
    verdict = {"good": "good", "slow": "slow", "will_smell": "smells"}[plan.verdict.kind]
    return {
        "trouble": trouble,
        "watering": "none" if plan.water_l < carrier.litres(carrier.vessel) / 2 else "needed",
        "shopping": carrier.shopping((n.material, n.volume_m3) for n in plan.needs),
        "rounds": plan.rounds,
        "water": carrier.water(plan.water_l),
        "litres": round(carrier.litres(carrier.vessel)),
        "water_round": carrier.water(plan.water_per_round_l),
        "verdict": verdict,
        "mend": carrier.shopping(mend) or None,
        "short": carrier.shopping((n.material, n.short_m3) for n in plan.needs) or None,
        "fits": sides_of(plan.fillable) if plan.fillable and min(sides_of(plan.fillable)) >= 1 else None,
    }


def _nothing(trouble: str) -> Result:
    empty: Result = dict.fromkeys(("mend", "short", "fits"))
    nothing = {"n": 0, "measure": "bucket"}
    return empty | {
        "trouble": trouble, "shopping": [], "rounds": 0, "water": nothing, "water_round": nothing, "litres": 20,
        "verdict": "slow",
    }  # fmt: skip
