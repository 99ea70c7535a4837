"""Other amounts of the same materials, where common practice would give a bad mix."""

from __future__ import annotations

import msgspec

from .constants import FEED_MORE_MOST
from .layers import ROUND_USES, Placed, Thickness
from .materials import Catalogue
from .solve import Ingredient, balance
from .verdict import judge


def rebalance(
    catalogue: Catalogue, placed: list[Placed], layers: Thickness
) -> tuple[list[Placed], Thickness, bool]:
    """Other amounts of the same materials, where common practice gives a bad mix and these give a good one.

    placed : amounts by common practice. layers : their thickness.
    Returns amounts, thickness and whether they were changed; unchanged when no amounts of these materials
    will do.
    Raises as `solve.balance` does. Source: `solve.balance`, with common practice as the usual amounts.
    """
    chosen = [i for i, item in enumerate(placed) if item.use in ROUND_USES and item.part.material.rots]
    spent: dict[str, float] = {}
    for item in placed:
        if item.use not in ROUND_USES:
            name = item.part.material.id
            spent[name] = spent.get(name, 0.0) + item.part.volume_m3
    ingredients = [_ingredient(placed[i], spent.get(placed[i].part.material.id, 0.0)) for i in chosen]
    total = sum(placed[i].part.volume_m3 for i in chosen)
    if sum(total if item.most_m3 is None else item.most_m3 for item in ingredients) < total:
        return placed, layers, False
    found = balance(catalogue, ingredients, total)
    if judge(found.mix).kind != "good":
        return placed, layers, False
    out = list(placed)
    for i, volume in zip(chosen, found.volumes_m3, strict=True):
        part = msgspec.structs.replace(placed[i].part, volume_m3=volume)
        out[i] = msgspec.structs.replace(placed[i], part=part)
    feed = sum(item.part.volume_m3 for item in out if item.use == "feed") / total
    both = layers.vegetation_m + layers.feed_m
    changed = msgspec.structs.replace(layers, vegetation_m=both * (1 - feed), feed_m=both * feed)
    return [item for item in out if item.part.volume_m3 > 1e-9], changed, True


def _ingredient(item: Placed, spent_m3: float) -> Ingredient:
    """Scraps may become fewer, not more; a feed of unknown amount at most double; for the rest what is at
    hand."""
    usual = item.part.volume_m3
    most: float | None
    if item.use == "extra":
        most = usual
    elif item.at_hand_m3 is not None:
        most = max(0.0, item.at_hand_m3 - spent_m3)
    else:
        most = FEED_MORE_MOST * usual if item.use == "feed" else None
    return Ingredient(part=item.part, most_m3=most, usual_m3=usual)
