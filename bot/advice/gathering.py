"""Computations while materials are gathered: what was brought, what is still missing."""

from __future__ import annotations

from typing import Any

from bot.advice.amounts import Carrier, Said, known
from bot.advice.planning import plan_of
from bot.compost import CannotReach

Result = dict[str, Any]
ENOUGH = 0.9  # [m3/m3] of the need; a farmer's measures are no finer


def gathered(
    size: list[float],
    materials: Said,
    measure: Said | None = None,
    before: Said | None = None,
    said: Said | None = None,
) -> Result:
    """Add what a message says was brought, and tell what is still missing for the plan.

    A material named without an amount counts as all that is needed of it.
    left : `some` or `nothing`. trouble : `forbidden` if the message names what must not go in, else `no`.
    """
    carrier = Carrier(measure)
    brought = [*known(before), *known(said)]
    result: Result = {
        "gathered": {"known": brought, "near": [], "unknown": [], "forbidden": []},
        "forbidden": list(said["forbidden"]) if said else [],
    }
    result["trouble"] = "forbidden" if result["forbidden"] else "no"
    try:
        # What the farmer has told of amounts at hand limits a plan; what it needs does not hang on them.
        plan = plan_of(size, {"known": [{**m, "amount": None} for m in known(materials)]}, carrier)
    except CannotReach:
        return result | {"left": "nothing", "missing": []}
    short = []
    named = {m["material"] for m in known(materials)}
    for need in (each for each in plan.needs if each.material in named):  # soil lies at every pile
        have = [carrier.volume_m3(m) for m in brought if m["material"] == need.material]
        total = need.volume_m3 if None in have else sum(volume or 0.0 for volume in have)
        if total < ENOUGH * need.volume_m3:
            short.append((need.material, need.volume_m3 - total))
    missing = carrier.shopping(short)
    return result | {"left": "some" if missing else "nothing", "missing": missing}
