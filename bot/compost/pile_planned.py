"""The pile of the model out of a plan for a farmer's heap."""

from __future__ import annotations

from .errors import CannotReach
from .materials import Catalogue
from .pile_constants import Particle, PileConstants
from .pile_state import Pile, pile_of
from .recipe import PilePlan, Portion

FROM_COARSE: tuple[Particle, ...] = ("coarse", "long", "medium", "fine")


def pile_of_plan(plan: PilePlan, catalogue: Catalogue, constants: PileConstants) -> Pile:
    """The pile that a plan gives, watered as planned.

    plan : of a heap; one that leans or is domed becomes a box of the same ground and volume.
    catalogue : with the materials of the plan. constants : of the pile model.
    Returns the pile; its pieces are those of the material that takes most room among what rots, chopped ones at least
    medium (estimate).
    Raises CannotReach when nothing rots; OutOfRange for a size or mix that the model is not made for.
    """
    rotting = [p for p in plan.portions if p.use in ("vegetation", "feed", "extra")]
    if not rotting:
        raise CannotReach("mix", "nothing_rots")
    most = max(rotting, key=lambda portion: portion.volume_m3)
    size = plan.size
    sides = (size.length_m, size.width_m, plan.volume_m3 / (size.length_m * size.width_m))
    return pile_of(plan.whole.with_water(plan.water_l), sides, _pieces(most, catalogue), constants, plan.mix)


def _pieces(portion: Portion, catalogue: Catalogue) -> Particle:
    whole = catalogue[portion.material].particle
    if portion.state != "chopped":
        return whole
    return max(whole, "medium", key=FROM_COARSE.index)
