"""The plan of a heap: what it takes, in which order, with how much water, and whether the mix will do."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Literal

import msgspec

from .balancing import rebalance
from .constants import LAYER_FEED_M, LAYER_VEGETATION_M, MOISTURE_TARGET, SOIL_FIELD_MOISTURE
from .errors import CannotReach, check_range
from .heap import Size, SizeNote, check_size, size_notes
from .layers import (
    ROUND_USES,
    AtHand,
    Placed,
    Places,
    Thickness,
    place,
    rotting,
    slices,
    sort_uses,
    thickness,
)
from .materials import Catalogue, State, Use
from .mix import VOLUME_MOST_M3, Mix, mix_of, water_to_add_kg
from .verdict import Addition, Verdict, judge, mend

AssumptionKind = Literal[
    "state",
    "usual_moisture",
    "shared_evenly",
    "shared_by_amount",
    "soil_left_out",
    "soil_dug",
    "balanced_layers",
    "usual_layers",
]


class Portion(msgspec.Struct, frozen=True, kw_only=True):
    """How much of one material goes into the heap for one use. [m3], [kg]"""

    material: str
    use: Use
    state: State
    volume_m3: float
    mass_kg: float


class Need(msgspec.Struct, frozen=True, kw_only=True):
    """One line of the shopping list: a material over all its uses. `short_m3` is what is missing of it; 0
    when there is enough or the amount at hand was not told. [m3], [kg]"""

    material: str
    volume_m3: float
    mass_kg: float
    at_hand_m3: float | None
    short_m3: float


class Layer(msgspec.Struct, frozen=True, kw_only=True):
    """One layer, from the ground up: `round` counts from 1, and is 0 for foundation, keep-in layer and
    cap."""

    number: int
    round: int
    use: Use
    thickness_m: float
    portions: tuple[Portion, ...]
    water_l: float


class Missing(msgspec.Struct, frozen=True):
    """A use that nothing at hand serves, what could serve, and how much of it a heap of this size takes.
    [m3]"""

    use: Use
    could_serve: tuple[str, ...]
    volume_m3: float


class Assumption(msgspec.Struct, frozen=True):
    """Something taken for granted, for the answer to say: the state of a material, how shares were set,
    ..."""

    kind: AssumptionKind
    material: str | None = None
    state: State | None = None


class PilePlan(msgspec.Struct, frozen=True, kw_only=True):
    """A heap planned in full.

    cn_ratio, moisture [kg/kg], density_kg_m3, free_air_space [m3/m3] are of what rots together in the rounds,
    before watering: soil, ash, shells, foundation and cap are left out. cn_ratio is None where there is no
    nitrogen. watered_moisture is what the water brings it to. water_l is for the whole heap,
    water_per_round_l for one round. fillable is the size that the amounts at hand fill (sides below 0.3 m: not
    even the smallest heap), None when they suffice or are not known.
    """

    size: Size
    volume_m3: float
    rounds: int
    thickness: Thickness
    portions: tuple[Portion, ...]
    needs: tuple[Need, ...]
    layers: tuple[Layer, ...]
    cn_ratio: float
    moisture: float
    watered_moisture: float
    density_kg_m3: float
    free_air_space: float
    verdict: Verdict
    mend: Addition | None
    missing: tuple[Missing, ...]
    fillable: Size | None
    water_l: float
    water_per_round_l: float
    assumptions: tuple[Assumption, ...]
    notes: tuple[SizeNote, ...]
    mix: Mix
    whole: Mix

    def need(self, material: str) -> Need | None:
        """The line of the shopping list for a material, None if the heap takes none."""
        return next((need for need in self.needs if need.material == material), None)


def plan_pile(catalogue: Catalogue, size: Size, at_hand: Sequence[AtHand]) -> PilePlan:
    """Plan a heap of a size out of what is at hand, by the common practice of 25, 5 and 5 cm.

    catalogue : materials.
    size : length, width and height as built, upright sides. [m]
    at_hand : materials, each with its volume if it is known; soil is dug on the spot when none is named. [m3]
    Returns the plan; shortages, missing kinds and bad mixes are in it, not errors.
    Raises OutOfRange for a size or volume that cannot be, UnknownMaterial, CannotReach when nothing rots.
    Source: layers are common practice; C:N and moisture as in `mix`; soil moistened to 20 % (estimate).
    """
    check_size(size)
    hands = _merge(at_hand)
    places = sort_uses(catalogue, hands)
    if not places["vegetation"] and not places["feed"]:
        raise CannotReach("mix", "nothing_rots")
    soil_dug = not places["soil"]
    if soil_dug:
        hands.append(AtHand(catalogue.that_serve("soil")[0].id))
        places = sort_uses(catalogue, hands)
    layers = thickness(size, places)
    placed = place(size, places, layers)
    balanced = False
    if judge(rotting(placed)).kind != "good":
        placed, layers, balanced = rebalance(catalogue, placed, layers)
    mix = rotting(placed)
    water = water_to_add_kg(mix.mass_kg, mix.moisture, MOISTURE_TARGET)
    # A mix that is too wet waters the soil between it.
    spare = mix.mass_kg * max(0.0, mix.moisture - MOISTURE_TARGET) / (1 - MOISTURE_TARGET)
    soil_water = max(0.0, _soil_water(placed) - spare)
    needs = _needs(placed, hands)
    return PilePlan(
        size=size,
        volume_m3=size.volume_m3,
        rounds=layers.rounds,
        thickness=layers,
        portions=tuple(_portion(item) for item in placed),
        needs=needs,
        layers=_layers(size, placed, layers, water, soil_water),
        cn_ratio=mix.cn_ratio,
        moisture=mix.moisture,
        watered_moisture=mix.with_water(water).moisture,
        density_kg_m3=mix.density_kg_m3,
        free_air_space=mix.free_air_space,
        verdict=judge(mix),
        mend=mend(catalogue, mix, [hand.material for hand in hands]),
        missing=_missing(catalogue, size, places, layers),
        fillable=_fillable(size, needs),
        water_l=water + soil_water,
        water_per_round_l=(water + soil_water) / layers.rounds,
        assumptions=_assumptions(placed, places, soil_dug, balanced),
        notes=size_notes(size),
        mix=mix,
        whole=mix_of(item.part for item in placed),
    )


def manure_for(catalogue: Catalogue, size: Size, manure: str, vegetation: str = "maize_stalks") -> PilePlan:
    """Plan for the question how much manure a heap takes; read `need(manure)`.

    manure : id of a material that serves as feed. vegetation : what it is laid between.
    Raises as `plan_pile` does, and CannotReach for a material that is no feed.
    """
    if "feed" not in catalogue[manure].serves:
        raise CannotReach("manure", "not_a_feed")
    return plan_pile(catalogue, size, [AtHand(vegetation), AtHand(manure)])


def size_for(catalogue: Catalogue, material: str, volume_m3: float) -> PilePlan:
    """The largest heap that an amount of one material is enough for; what else it takes is in the plan.

    volume_m3 : of the material, above 0. [m3]
    Raises as `largest_pile` does.
    """
    return largest_pile(catalogue, [AtHand(material, volume_m3)])


def largest_pile(catalogue: Catalogue, at_hand: Sequence[AtHand]) -> PilePlan:
    """The largest heap for which no amount at hand is short, with the usual companions for what is not named.

    at_hand : materials, at least one with a known volume. [m3]
    Returns the plan of a cube up to 2 x 2 x 2 m, beyond that of a heap 2 m wide and high and up to 12 m long.
    Raises OutOfRange, UnknownMaterial, CannotReach when there is too little for 0.3 m or no amount is known.
    Source: bisection on `plan_pile`, whose needs grow with the size; the 2 m are common practice.
    """
    hands = [*_merge(at_hand)]
    if all(hand.volume_m3 is None for hand in hands):
        raise CannotReach("size", "no_amount")
    places = sort_uses(catalogue, hands)
    usual: tuple[tuple[Use, str], ...] = (("vegetation", "maize_stalks"), ("feed", "cattle_manure"))
    hands += [AtHand(name) for use, name in usual if not places[use]]

    def enough(size: Size) -> bool:
        return all(need.short_m3 <= 1e-9 for need in plan_pile(catalogue, size, hands).needs)

    if enough(Size(2.0, 2.0, 2.0)):
        length = _largest(lambda side: enough(Size(side, 2.0, 2.0)), 2.0, 12.0)
        return plan_pile(catalogue, Size(length, 2.0, 2.0), hands)
    if not enough(Size(0.3, 0.3, 0.3)):
        raise CannotReach("size", "not_enough")
    side = _largest(lambda side: enough(Size(side, side, side)), 0.3, 2.0)
    return plan_pile(catalogue, Size(side, side, side), hands)


def _largest(fits: Callable[[float], bool], low: float, high: float) -> float:
    """Largest value in steps of 5 cm that fits; `low` does."""
    steps = round((high - low) / 0.05)
    least, most = 0, steps
    while least < most:
        middle = (least + most + 1) // 2
        least, most = (middle, most) if fits(low + middle * 0.05) else (least, middle - 1)
    return round(low + least * 0.05, 2)


def _merge(at_hand: Sequence[AtHand]) -> list[AtHand]:
    """One entry a material: the same named twice is added up, and unknown if one of them is."""
    out: dict[str, AtHand] = {}
    for hand in at_hand:
        if hand.volume_m3 is not None:
            check_range(f"volume of {hand.material}", hand.volume_m3, 0.0, VOLUME_MOST_M3, "m3")
        before = out.get(hand.material)
        if before is not None:
            known = before.volume_m3 is not None and hand.volume_m3 is not None
            total = (before.volume_m3 or 0.0) + (hand.volume_m3 or 0.0)
            hand = AtHand(hand.material, total if known else None, hand.state or before.state)
        out[hand.material] = hand
    return list(out.values())


def _portion(item: Placed, share: float = 1.0) -> Portion:
    part = item.part
    return Portion(
        material=part.material.id,
        use=item.use,
        state=part.state or part.material.usual_state,
        volume_m3=part.volume_m3 * share,
        mass_kg=part.mass_kg * share,
    )


def _needs(placed: Sequence[Placed], hands: Sequence[AtHand]) -> tuple[Need, ...]:
    out: list[Need] = []
    for hand in hands:
        own = [item.part for item in placed if item.part.material.id == hand.material]
        volume = sum(part.volume_m3 for part in own)
        short = 0.0 if hand.volume_m3 is None else max(0.0, volume - hand.volume_m3)
        out.append(
            Need(
                material=hand.material,
                volume_m3=volume,
                mass_kg=sum(part.mass_kg for part in own),
                at_hand_m3=hand.volume_m3,
                short_m3=short,
            )
        )
    return tuple(need for need in out if need.volume_m3 > 0)


def _soil_water(placed: Sequence[Placed]) -> float:
    soils = [item.part for item in placed if item.use == "soil"]
    return sum(
        water_to_add_kg(part.mass_kg, part.material.moisture.typical, SOIL_FIELD_MOISTURE) for part in soils
    )


def _layers(
    size: Size, placed: Sequence[Placed], layers: Thickness, water: float, soil_water: float
) -> tuple[Layer, ...]:
    """Foundation and keep-in layer, then the rounds, then the cap. What rots is watered on the vegetation."""
    wetted: Use = "vegetation" if layers.vegetation_m else "feed"
    litres: dict[Use, float] = {"soil": soil_water, wetted: water}
    pieces = slices(size, layers)
    out: list[Layer] = []
    for number, piece in enumerate(pieces, start=1):
        share = piece.volume_m3 / sum(other.volume_m3 for other in pieces if other.use == piece.use)
        uses = (piece.use, "extra") if piece.use == wetted else (piece.use,)
        out.append(
            Layer(
                number=number,
                round=piece.round,
                use=piece.use,
                thickness_m=piece.thickness_m,
                portions=tuple(_portion(item, share) for item in placed if item.use in uses),
                water_l=litres.get(piece.use, 0.0) * share,
            )
        )
    return tuple(out)


def _missing(catalogue: Catalogue, size: Size, places: Places, layers: Thickness) -> tuple[Missing, ...]:
    usual: tuple[tuple[Use, float], ...] = (
        ("foundation", size.height_m / 10 / layers.rounds),
        ("vegetation", LAYER_VEGETATION_M),
        ("feed", LAYER_FEED_M),
    )
    return tuple(
        Missing(use, tuple(m.id for m in catalogue.that_serve(use)), size.base_m2 * thick * layers.rounds)
        for use, thick in usual
        if not places[use]
    )


def _fillable(size: Size, needs: Sequence[Need]) -> Size | None:
    """The same shape, shrunk until the scarcest material is enough; sides in steps of 5 cm, downward."""
    have = [
        need.at_hand_m3 / need.volume_m3
        for need in needs
        if need.short_m3 > 1e-9 and need.at_hand_m3 is not None
    ]
    if not have:
        return None
    scale = min(have) ** (1 / 3)
    sides = (size.length_m, size.width_m, size.height_m)
    length, width, height = (int(side * scale / 0.05 + 1e-9) * 0.05 for side in sides)
    return Size(length, width, height, size.shape)


def _assumptions(
    placed: Sequence[Placed], places: Places, soil_dug: bool, balanced: bool
) -> tuple[Assumption, ...]:
    out = [Assumption("balanced_layers" if balanced else "usual_layers"), Assumption("usual_moisture")]
    said = {hand.material for pairs in places.values() for _, hand in pairs if hand.state is not None}
    for item in placed:
        material = item.part.material
        if item.use in ROUND_USES and material.density.chopped is not None and material.id not in said:
            out.append(Assumption("state", material.id, material.usual_state))
    if len(places["vegetation"]) > 1:
        known = all(hand.volume_m3 is not None for _, hand in places["vegetation"])
        out.append(Assumption("shared_by_amount" if known else "shared_evenly"))
    out.append(Assumption("soil_left_out"))
    if soil_dug:
        out.append(Assumption("soil_dug", places["soil"][0][0].id))
    return tuple(out)
