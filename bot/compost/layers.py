"""Which material goes where in a layered heap, how thick, and how much: common practice of 25, 5 and 5 cm."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from .constants import (
    CAP_M,
    FOUNDATION_M,
    KEEP_IN_M,
    LAYER_FEED_M,
    LAYER_SOIL_M,
    LAYER_VEGETATION_M,
    SCRAPS_SHARE_MOST,
    SPRINKLE_M,
)
from .heap import Size, volume_below
from .materials import Catalogue, Material, State, Use
from .mix import Mix, Part, mix_of


class AtHand(msgspec.Struct, frozen=True):
    """A material that the farmer has; the volume as it lies in the pile, None if it was not said. [m3]"""

    material: str
    volume_m3: float | None = None
    state: State | None = None


class Placed(msgspec.Struct, frozen=True, kw_only=True):
    """An amount of one material for one use in the whole heap. [m3]"""

    use: Use
    part: Part
    at_hand_m3: float | None = None


class Thickness(msgspec.Struct, frozen=True, kw_only=True):
    """How thick the layers are; the last three are of each round. [m]"""

    rounds: int
    foundation_m: float
    keep_in_m: float
    cap_m: float
    vegetation_m: float
    feed_m: float
    soil_m: float


ROUND_USES: tuple[Use, ...] = ("vegetation", "extra", "feed", "soil")
Places = dict[Use, list[tuple[Material, AtHand]]]


def sort_uses(catalogue: Catalogue, at_hand: Sequence[AtHand]) -> Places:
    """For each use the materials at hand that take it.

    Manures are the feed; legume plants are feed only where there is no manure, vegetation otherwise. What
    serves only as filler (cobs, paper) is vegetation where there is no other, scraps only where nothing else
    rots. One material each makes foundation, keep-in layer and cap.
    Raises UnknownMaterial. Source: common practice.
    """
    found = [(catalogue[hand.material], hand) for hand in at_hand]
    manure = [pair for pair in found if pair[0].role == "manure"]
    feed = manure or [pair for pair in found if "feed" in pair[0].serves]
    vegetation = [pair for pair in found if "vegetation" in pair[0].serves and pair not in feed]
    vegetation = vegetation or [pair for pair in found if "filler" in pair[0].serves]
    extra = [pair for pair in found if "extra" in pair[0].serves]
    if not vegetation and not feed:
        vegetation = [pair for pair in extra if pair[0].rots]
    return {
        "foundation": [pair for pair in found if "foundation" in pair[0].serves][:1],
        "keep_in": [pair for pair in found if "keep_in" in pair[0].serves][:1],
        "vegetation": vegetation,
        "feed": feed,
        "soil": [pair for pair in found if "soil" in pair[0].serves],
        "extra": [pair for pair in extra if pair not in vegetation],
        "cap": [pair for pair in found if "cap" in pair[0].serves][:1],
    }


def thickness(size: Size, places: Places) -> Thickness:
    """Layers that fill the height exactly, as near to 25, 5 and 5 cm as whole rounds allow.

    size : of the heap; places : what there is for each use.
    Returns the thickness of each layer and the number of rounds, at least 1.
    Raises nothing. Source: common practice.
    """
    height = size.height_m
    foundation = min(max(height / 10, FOUNDATION_M[0]), FOUNDATION_M[1], height / 4) * bool(
        places["foundation"]
    )
    keep_in = min(KEEP_IN_M, height / 20) * bool(places["keep_in"])
    cap = min(CAP_M, height / 20) * bool(places["cap"])
    inner = height - foundation - keep_in - cap
    full = LAYER_VEGETATION_M + LAYER_FEED_M + LAYER_SOIL_M
    rounds = max(1, round(inner / full))
    vegetation = LAYER_VEGETATION_M * bool(places["vegetation"])
    # Manure alone takes the room of the vegetation, so that soil keeps to its share.
    feed = (LAYER_FEED_M if vegetation else full - LAYER_SOIL_M) * bool(places["feed"])
    soil = LAYER_SOIL_M * bool(places["soil"])
    scale = inner / rounds / (vegetation + feed + soil)
    return Thickness(
        rounds=rounds,
        foundation_m=foundation,
        keep_in_m=keep_in,
        cap_m=cap,
        vegetation_m=vegetation * scale,
        feed_m=feed * scale,
        soil_m=soil * scale,
    )


class Slice(msgspec.Struct, frozen=True, kw_only=True):
    """One layer as a body. `round` is 0 for foundation, keep-in layer and cap. [m], [m3]"""

    use: Use
    round: int
    thickness_m: float
    volume_m3: float


def slices(size: Size, layers: Thickness) -> list[Slice]:
    """Every layer from the ground up, with the volume that the heap's shape gives it.

    Returns the layers that have a thickness.
    Raises nothing. Source: `heap.volume_below` at the edges of each layer.
    """
    order: list[tuple[int, Use, float]] = [
        (0, "foundation", layers.foundation_m),
        (0, "keep_in", layers.keep_in_m),
    ]
    for turn in range(1, layers.rounds + 1):
        order += [
            (turn, "vegetation", layers.vegetation_m),
            (turn, "feed", layers.feed_m),
            (turn, "soil", layers.soil_m),
        ]
    order.append((0, "cap", layers.cap_m))
    out: list[Slice] = []
    height = below = 0.0
    for turn, use, thick in order:
        if thick > 1e-9:
            height += thick
            volume = volume_below(size, min(height, size.height_m))
            out.append(Slice(use=use, round=turn, thickness_m=thick, volume_m3=volume - below))
            below = volume
    return out


def place(size: Size, places: Places, layers: Thickness) -> list[Placed]:
    """Amounts of every material in the whole heap, for each use.

    Returns one entry for each use of a material, in the order of building.
    Raises nothing. Source: volumes of `slices`; shares as in `shares`.
    """
    volumes: dict[Use, float] = {}
    for piece in slices(size, layers):
        volumes[piece.use] = volumes.get(piece.use, 0.0) + piece.volume_m3
    extras = _extras(size.base_m2 * layers.rounds, volumes.get("vegetation", 0.0), places["extra"])
    scraps = sum(item.part.volume_m3 for item in extras if item.part.material.rots)
    out: list[Placed] = []
    for use, volume in volumes.items():
        out += _spread(use, volume - (scraps if use == "vegetation" else 0.0), places[use])
    return [*out, *extras]


def rotting(placed: Sequence[Placed]) -> Mix:
    """What rots together in the rounds: soil, ash, shells, foundation and cap are left out.

    Raises TooLittle when there is nothing. Source: `mix.mix_of`.
    """
    return mix_of(item.part for item in placed if item.use in ROUND_USES and item.part.material.rots)


def shares(volume_m3: float, at_hand_m3: Sequence[float | None]) -> list[float]:
    """A volume shared out over several materials.

    volume_m3 : what is needed in all. [m3]
    at_hand_m3 : what there is of each, None where it is not known. [m3]
    Returns a volume for each: in proportion to what there is when all are known; else evenly, the known ones
    at most what there is and the unknown ones the rest. The sum is the volume needed. [m3]
    Raises nothing. Source: common practice.

    >>> shares(6.0, [1.0, 3.0])
    [1.5, 4.5]
    >>> shares(6.0, [1.0, None, None])
    [1.0, 2.5, 2.5]
    """
    known = [amount for amount in at_hand_m3 if amount is not None]
    if len(known) == len(at_hand_m3) and sum(known) > 0:
        return [volume_m3 * (amount / sum(known)) for amount in known]
    out = [0.0] * len(at_hand_m3)
    left, most_first = volume_m3, sorted(range(len(out)), key=lambda i: _or_infinite(at_hand_m3[i]))
    for count, i in enumerate(most_first):
        out[i] = min(left / (len(out) - count), _or_infinite(at_hand_m3[i]))
        left -= out[i]
    return [share + left / len(out) for share in out]


def _or_infinite(amount: float | None) -> float:
    return float("inf") if amount is None else amount


def _spread(use: Use, volume_m3: float, pairs: Sequence[tuple[Material, AtHand]]) -> list[Placed]:
    amounts = shares(volume_m3, [hand.volume_m3 for _, hand in pairs])
    # Air comes from whole pieces: a foundation is never chopped, whatever the rest is.
    return [
        Placed(
            use=use,
            part=Part(material, amount, "whole" if use == "foundation" else hand.state),
            at_hand_m3=hand.volume_m3,
        )
        for amount, (material, hand) in zip(amounts, pairs, strict=True)
    ]


def _extras(
    sprinkled_m2: float, vegetation_m3: float, pairs: Sequence[tuple[Material, AtHand]]
) -> list[Placed]:
    """Scraps within the vegetation, up to a fifth of it; ash and shells as a sprinkle. Never more than there
    is."""
    out: list[Placed] = []
    scraps = [material for material, _ in pairs if material.rots]
    for material, hand in pairs:
        if material.rots:
            most = SCRAPS_SHARE_MOST * vegetation_m3 / len(scraps)
            # An unknown amount of scraps is a household's, not a market's: half of the most.
            volume = most / 2 if hand.volume_m3 is None else min(most, hand.volume_m3)
        else:
            volume = min(SPRINKLE_M * sprinkled_m2, _or_infinite(hand.volume_m3))
        if volume > 0:
            out.append(
                Placed(use="extra", part=Part(material, volume, hand.state), at_hand_m3=hand.volume_m3)
            )
    return out
