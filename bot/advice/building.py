"""The computation behind building: which layer comes next and what goes into it."""

from __future__ import annotations

from typing import Any

import msgspec

from bot.advice.amounts import Carrier, Said
from bot.advice.planning import plan_of
from bot.compost import Layer, PilePlan

Result = dict[str, Any]
USUAL_COVER = "dry_grass"


class _Stage(msgspec.Struct, frozen=True):
    """What is laid before the farmer answers DONE: one layer, or all layers of a round."""

    part: str
    round: int
    layers: tuple[Layer, ...]


def _stages(plan: PilePlan) -> list[_Stage]:
    singles = {layer.use: layer for layer in plan.layers if layer.round == 0}
    stages = [_Stage(use, 0, (singles[use],)) for use in ("foundation", "keep_in") if use in singles]
    for number in range(1, plan.rounds + 1):
        stages.append(_Stage("round", number, tuple(y for y in plan.layers if y.round == number)))
    cap = (singles["cap"],) if "cap" in singles else ()
    return [*stages, _Stage("cap", 0, cap)]


def layer(
    size: list[float],
    materials: Said,
    measure: Said | None = None,
    position: float | None = None,
    move: str | None = None,
) -> Result:
    """The stage of building at a position, after moving: next, back, rest (all that is left), or stay.

    position : number of the stage from 1; None before the first.
    """
    carrier = Carrier(measure)
    plan = plan_of(size, materials, carrier)
    stages = _stages(plan)
    at = int(position or 0) + {"next": 1, "back": -1}.get(move or "stay", 0)
    at = max(at, 1)
    if at > len(stages):
        return _result("finished", len(stages), carrier, plan, ())
    stage = stages[at - 1]
    if move == "rest" and stage.part in ("foundation", "keep_in", "round"):
        return _rest(at, stages, carrier, plan)
    return _result(stage.part, at, carrier, plan, stage.layers, stage.round)


def _rest(at: int, stages: list[_Stage], carrier: Carrier, plan: PilePlan) -> Result:
    left = [s for s in stages[at - 1 :] if s.part == "round"]
    return _result("rest", at, carrier, plan, left[0].layers, left[0].round, len(left))


def _result(
    part: str,
    position: int,
    carrier: Carrier,
    plan: PilePlan,
    layers: tuple[Layer, ...],
    number: int = 0,
    left: int = 0,
) -> Result:
    portions = [(p.material, p.volume_m3) for y in layers for p in y.portions]
    cap = [(p.material, p.volume_m3) for y in plan.layers if y.use == "cap" for p in y.portions]
    litres = sum(y.water_l for y in layers)
    cover = carrier.shopping(cap) or carrier.shopping([(USUAL_COVER, plan.size.base_m2 * 0.05)])
    return {
        "part": part,
        "position": position,
        "items": carrier.shopping(portions) or cover,
        "height": round(100 * sum(y.thickness_m for y in layers)),
        "water": carrier.water(litres),
        "watering": "needed" if litres >= carrier.litres(carrier.vessel) / 4 else "none",
        "round": number,
        "rounds": plan.rounds,
        "left": left,
        "cover": cover,
    }
