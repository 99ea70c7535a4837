"""How much of each material: the amounts that come nearest to a good C:N and moisture."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import msgspec

from .constants import CN_PREFERRED, CN_TOLERATED, MOISTURE_PREFERRED, MOISTURE_TARGET, MOISTURE_TOLERATED
from .errors import CannotReach, check_range
from .materials import Catalogue
from .mix import VOLUME_MOST_M3, Mix, Part, mix_of, water_to_add_kg
from .simplex import minimise
from .verdict import Addition, mend

Target = Literal["cn_ratio", "moisture", "volume"]
Reason = Literal["cn_high", "cn_low", "too_wet", "not_enough"]

# Cost of one m3 more or less than the usual share, against 1 for each kg of carbon or water off target. It
# only chooses among mixes that are equally near to the target: a m3 holds tens of kg.
_USUAL_WEIGHT = 1e-3


class Ingredient(msgspec.Struct, frozen=True, kw_only=True):
    """One material in the choice.

    most_m3 : what there is, None if unknown. usual_m3 : what common practice would take. [m3]
    """

    part: Part
    most_m3: float | None = None
    usual_m3: float = 0.0


class Unmet(msgspec.Struct, frozen=True):
    """A target that no amounts reach: in which direction it is missed, and whether it is at least
    tolerated."""

    target: Target
    reason: Reason
    tolerated: bool


class Balance(msgspec.Struct, frozen=True, kw_only=True):
    """Amounts in the order of the ingredients [m3], water to add [L], the mix before watering, what was not
    met, and the one further material that would mend it."""

    volumes_m3: tuple[float, ...]
    water_l: float
    mix: Mix
    unmet: tuple[Unmet, ...]
    mend: Addition | None


def balance(catalogue: Catalogue, ingredients: Sequence[Ingredient], volume_m3: float) -> Balance:
    """Amounts that fill a volume and come nearest to C:N 25 to 30 and at most 60 % moisture.

    catalogue : where an addition is looked for.
    ingredients : materials, each with what there is of it and its usual amount.
    volume_m3 : to fill; less is filled when there is not enough (unmet: volume). [m3]
    Returns amounts, water, mix, unmet targets and the addition that would mend it.
    Raises OutOfRange, CannotReach when nothing is at hand, TooLittle for a mix without nitrogen.
    Source: linear programme, see `_programme`; too dry is no deviation because water is added to 55 %.
    """
    check_range("volume_m3", volume_m3, 1e-6, VOLUME_MOST_M3, "m3")
    most = [_most(ingredient, volume_m3) for ingredient in ingredients]
    fill = min(volume_m3, sum(most))
    if fill <= 0:
        raise CannotReach("volume", "nothing_at_hand")
    volumes = _solve(ingredients, most, total_m3=fill)
    missing = (Unmet("volume", "not_enough", tolerated=False),) if fill < volume_m3 * (1 - 1e-9) else ()
    return _balance(catalogue, ingredients, volumes, missing)


def balance_around(catalogue: Catalogue, ingredients: Sequence[Ingredient], limiting: int) -> Balance:
    """Amounts that go with all that there is of one material, the limiting one; the volume follows.

    catalogue, ingredients : as for `balance`. limiting : index of an ingredient with a known amount. [m3]
    Raises OutOfRange, CannotReach, TooLittle.
    Source: as `balance`, with this amount fixed in place of the volume.
    """
    most = ingredients[limiting].most_m3
    if most is None or most <= 0:
        raise CannotReach("amounts", "limiting_unknown")
    usual = ingredients[limiting].usual_m3
    scale = most / usual if usual > 0 else 1.0
    scaled = [msgspec.structs.replace(item, usual_m3=item.usual_m3 * scale) for item in ingredients]
    limits = [_most(item, VOLUME_MOST_M3) for item in scaled]
    return _balance(catalogue, scaled, _solve(scaled, limits, fixed=(limiting, most)), ())


def _most(ingredient: Ingredient, volume_m3: float) -> float:
    if ingredient.most_m3 is None:
        return volume_m3
    name = ingredient.part.material.id
    return min(volume_m3, check_range(f"amount of {name}", ingredient.most_m3, 0.0, VOLUME_MOST_M3, "m3"))


def _solve(
    ingredients: Sequence[Ingredient],
    most: Sequence[float],
    total_m3: float | None = None,
    fixed: tuple[int, float] | None = None,
) -> tuple[float, ...]:
    volumes, _ = minimise(*_programme(ingredients, most, total_m3, fixed))
    return tuple(float(v) for v in volumes[: len(ingredients)])


Rows = list[list[float]]


def _programme(
    ingredients: Sequence[Ingredient],
    most: Sequence[float],
    total_m3: float | None,
    fixed: tuple[int, float] | None,
) -> tuple[list[float], Rows, list[float], Rows, list[float]]:
    """Cost, at-most rows, limits, equations and values.

    Variables: a volume for each ingredient; carbon above 30 N, carbon below 25 N, water above 60 % [kg]; how
    far each volume is above and below its usual amount [m3].
    """
    n = len(ingredients)
    ones = [mix_of([Part(item.part.material, 1.0, item.part.state)]) for item in ingredients]
    carbon_low, carbon_high = CN_PREFERRED
    wet = MOISTURE_PREFERRED[1]

    def row(first: Sequence[float], **slack: float) -> list[float]:
        names = ("over", "under", "wet")
        return [*first, *(slack.get(name, 0.0) for name in names), *[0.0] * (2 * n)]

    at_most = [
        row([one.carbon_kg - carbon_high * one.nitrogen_kg for one in ones], over=-1.0),
        row([carbon_low * one.nitrogen_kg - one.carbon_kg for one in ones], under=-1.0),
        row([one.water_kg - wet * one.mass_kg for one in ones], wet=-1.0),
    ]
    limits = [0.0, 0.0, 0.0]
    for i in range(n):
        at_most.append(row([float(i == j) for j in range(n)]))
        limits.append(most[i])
    equal, values = [], []
    for i, item in enumerate(ingredients):
        line = row([float(i == j) for j in range(n)])
        line[n + 3 + i], line[2 * n + 3 + i] = -1.0, 1.0
        equal.append(line)
        values.append(item.usual_m3)
    if total_m3 is not None:
        equal.append(row([1.0] * n))
        values.append(total_m3)
    if fixed is not None:
        equal.append(row([float(j == fixed[0]) for j in range(n)]))
        values.append(fixed[1])
    cost = [*[0.0] * n, 1.0, 1.0, 1.0, *[_USUAL_WEIGHT] * (2 * n)]
    return cost, at_most, limits, equal, values


def _balance(
    catalogue: Catalogue,
    ingredients: Sequence[Ingredient],
    volumes: tuple[float, ...],
    missing: tuple[Unmet, ...],
) -> Balance:
    parts = [
        Part(item.part.material, volume, item.part.state)
        for item, volume in zip(ingredients, volumes, strict=True)
    ]
    mix = mix_of(parts)
    return Balance(
        volumes_m3=volumes,
        water_l=water_to_add_kg(mix.mass_kg, mix.moisture, MOISTURE_TARGET),
        mix=mix,
        unmet=(*missing, *_unmet(mix)),
        mend=mend(catalogue, mix, [item.part.material.id for item in ingredients]),
    )


def _unmet(mix: Mix) -> list[Unmet]:
    out: list[Unmet] = []
    ratio, slack = mix.cn_ratio, 1e-6
    if ratio > CN_PREFERRED[1] + slack:
        out.append(Unmet("cn_ratio", "cn_high", ratio <= CN_TOLERATED[1]))
    if ratio < CN_PREFERRED[0] - slack:
        out.append(Unmet("cn_ratio", "cn_low", ratio >= CN_TOLERATED[0]))
    if mix.moisture > MOISTURE_PREFERRED[1] + slack:
        out.append(Unmet("moisture", "too_wet", mix.moisture <= MOISTURE_TOLERATED[1]))
    return out
