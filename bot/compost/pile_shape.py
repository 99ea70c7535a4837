"""Areas and conductances of a pile of given sides."""

from __future__ import annotations

from typing import NamedTuple

from .pile_constants import PileConstants
from .pile_factors import Number
from .pile_state import Pile

SECONDS = 86400.0  # [s/d] definition
KJ_PER_WATT_DAY = 86.4  # [kJ/(W d)] definition
OXYGEN_PER_PERCENT = 0.0133  # [kg/(m3 %)] density of oxygen at 20 C, 1.33 kg/m3, from memory


class Shape(NamedTuple):
    """What follows from the sides as built; shrinking scales it.

    volume_m3, skin_m2 (top and sides), ground_m2 [m3, m2]; inward and outward conductance [kJ/(d K)]; skin_ratio:
    how much of the step from air to shell lies in the air; oxygen_in and oxygen_out: conductance for oxygen by
    diffusion, in pure air, shell to core and air to shell [kg/(d %)].
    """

    volume_m3: Number
    skin_m2: Number
    ground_m2: Number
    inward: Number
    outward: Number
    skin_ratio: Number
    oxygen_in: Number
    oxygen_out: Number


def shape_of(pile: Pile, constants: PileConstants) -> Shape:
    """Areas and conductances of a vertical-sided pile.

    The core is an inner box of `core_share` of the volume, with sides in the same ratio. Heat from its middle passes
    a tenth of the core's width (mean of a sphere that warms evenly: r / 5), then half the shell to the shell's mean,
    and half the shell and a skin of air (or of ground) to the outside.
    Source: steady conduction in a sphere with even heat, Carslaw and Jaeger 1959, for the core (from memory).
    """
    length, width, height = pile.length_m, pile.width_m, pile.height_m
    volume, ground = length * width * height, length * width
    skin = ground + 2.0 * height * (length + width)
    side = 6.0 * volume / (skin + ground)  # of the cube with the same surface per volume
    inner = constants.core_share ** (1.0 / 3.0)
    half_shell = (1.0 - inner) * side / 4.0
    inner_m2 = inner * inner * (skin + ground)
    inner_path = inner * side / 10.0 + half_shell
    resist = half_shell / constants.conductivity
    air = 1.0 / constants.surface_transfer
    outward = skin / (resist + air) + ground / (resist + constants.ground_resistance)
    diffuse = constants.oxygen_diffusivity * OXYGEN_PER_PERCENT
    return Shape(
        volume,
        skin,
        ground,
        KJ_PER_WATT_DAY * constants.conductivity * inner_m2 / inner_path,
        KJ_PER_WATT_DAY * outward,
        air / (resist + air),
        diffuse * inner_m2 / inner_path,
        diffuse * skin / half_shell,
    )
