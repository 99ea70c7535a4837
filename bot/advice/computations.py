"""Everything that dialogue files may compute: each computation with its inputs and outputs (docs/dialogues.md)."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from bot.advice import building, caring, diagnosing, field, gathering, planning, ripeness, seasons, selling
from bot.dialogue.vocabulary import Computation, Quantity


def quantity(kind: str, *values: str, optional: bool = False) -> Quantity:
    return Quantity(kind=kind, values=values, optional=optional)


def _computation(
    name: str, run: Callable[..., Mapping[str, Any]], inputs: dict[str, str], **outputs: Quantity
) -> Computation:
    """inputs : name to kind; a `?` behind the kind makes it optional."""
    taken = {n: Quantity(kind=k.removesuffix("?"), optional=k.endswith("?")) for n, k in inputs.items()}
    return Computation(name=name, inputs=taken, outputs=outputs, run=run)


_SIZE = {"size": "size"}
_PILE = _SIZE | {"materials": "materials", "measure": "measure?"}
_WEEK = _PILE | {"rain_mm": "number?", "latitude": "number?", "squeeze": "squeeze?"}
_YES_NO = quantity("term", "yes", "no")
_POSSIBLE = quantity("term", "fine", "impossible")
_NEED = quantity("term", "needed", "rain", "damp")
CAUSES = (
    "working too_dry too_wet no_air too_little_nitrogen too_much_nitrogen too_alkaline too_small too_coarse "
    "too_much_soil too_young finished cooled_by_weather packed disturbed badly_mixed overheated self_ignition "
    "not_stable standing_water flies_breeding other unclear"
).split()

COMPUTATIONS = (
    _computation("check_size", planning.judge_size, _SIZE, verdict=quantity("term", "fine", "small", "tall", "impossible")),
    _computation(
        "sort_materials", planning.sort_materials, {"said": "materials", "before": "materials?", "near": "choices?"},
        materials=quantity("materials"), trouble=quantity("term", "no", "forbidden", "near", "strange", "none"),
        empty=quantity("term", "yes", "no"), forbidden=quantity("terms"), near=quantity("choices"), unknown=quantity("words"),
    ),
    _computation(
        "manure_for", planning.manure_for, _SIZE | {"materials": "materials?", "measure": "measure?", "named": "measure?"},
        need=quantity("shopping"), vegetation=quantity("material"), holds=quantity("number"),
    ),
    _computation(
        "size_for", planning.size_for, {"materials": "materials", "measure": "measure?"},
        verdict=quantity("term", "fine", "little", "no_amount"), size=quantity("size"), material=quantity("material"),
        least=quantity("shopping"),
    ),
    _computation(
        "recipe", planning.recipe, _PILE,
        trouble=quantity("term", "none", "no_vegetation", "no_feed"), shopping=quantity("shopping"), rounds=quantity("number"),
        watering=quantity("term", "needed", "none"),
        water=quantity("amount"), litres=quantity("number"), water_round=quantity("amount"), verdict=quantity("term", "good", "slow", "smells"),
        mend=quantity("shopping", optional=True), short=quantity("shopping", optional=True), fits=quantity("size", optional=True),
    ),
    _computation(
        "gathered", gathering.gathered, _PILE | {"before": "materials?", "said": "materials?"},
        gathered=quantity("materials"), trouble=quantity("term", "no", "forbidden"), forbidden=quantity("terms"),
        left=quantity("term", "some", "nothing"), missing=quantity("shopping"),
    ),
    _computation(
        "layer", building.layer, _PILE | {"position": "number?", "move": "term?"},
        part=quantity("term", "foundation", "keep_in", "round", "cap", "rest", "finished"), position=quantity("number"),
        items=quantity("shopping"), height=quantity("number"), water=quantity("amount"), watering=quantity("term", "needed", "none"),
        round=quantity("number"),
        rounds=quantity("number"), left=quantity("number"), cover=quantity("shopping"),
    ),
    _computation(
        "care", caring.care, _WEEK | {"built_on": "date", "today": "date"},
        week=quantity("number"), time=quantity("term", "first", "later", "over"), watering=_NEED, water=quantity("amount"),
    ),
    _computation(
        "watering", caring.watering, _WEEK | {"built_on": "date?", "today": "date?"},
        need=_NEED, water=quantity("amount"),
    ),
    _computation("drench", caring.drench, _PILE, water=quantity("amount"), cooling=quantity("amount")),
    _computation(
        "age", caring.age, {"built_on": "date", "today": "date"}, weeks=quantity("number"), early=quantity("term", "yes", "no")
    ),
    _computation(
        "reach", field.reach, _PILE | {"crop": "crop?"},
        compost=quantity("amount"), sacks=quantity("number"), area=quantity("number"), crop=quantity("crop"), by=quantity("term", "hole", "bed"),
        handfuls=quantity("amount"), bed=quantity("amount"), touches=_YES_NO, hungry=_YES_NO,
    ),
    _computation(
        "needed_for", field.needed_for, {"area": "area", "crop": "crop?", "measure": "measure?"},
        verdict=_POSSIBLE, compost=quantity("amount"), piles=quantity("number"), size=quantity("size"), crop=quantity("crop"), area=quantity("number"),
    ),
    _computation(
        "sale", selling.sale, _PILE | {"price": "number?", "turns": "number?"},
        verdict=_POSSIBLE, sacks=quantity("number"), sales=quantity("number"), hours=quantity("number"), price=quantity("number"),
    ),
    _computation(
        "as_fertiliser", selling.as_fertiliser, _PILE | {"price": "number"}, verdict=_POSSIBLE, value=quantity("number")
    ),
    _computation(
        "ripeness", ripeness.ripeness,
        {
            "built_on": "date", "today": "date", "turns": "number?", "heat": "feel?", "smell": "smell?",
            "pieces": "pieces?", "colour": "colour?", "sprouts": "term?",
        },
        ask=quantity("term", "nothing", "heat", "smell", "pieces", "colour"),
        verdict=quantity("term", "ready", "cure", "not_ready", "unknown"),
        against=quantity(
            "term", "nothing", "hot", "reheats", "smells", "pieces", "colour", "not_crumbly", "too_young", "cn_high",
            "harms_seeds", "weak_seeds",
        ),
        wait=quantity("days"), weeks=quantity("number"),
    ),
    _computation(
        "sprouts", ripeness.sprouts, {"in_compost": "number", "in_soil": "number"},
        verdict=quantity("term", "well", "fairly", "badly", "bad_seed"),
    ),
    _computation(
        "hygiene", ripeness.hygiene, {"built_on": "date", "today": "date", "heats": "series", "turned": "series"},
        proven=_YES_NO, touching=quantity("number"), above=quantity("number"),
    ),
    _computation(
        "day_before", seasons.day_before, {"today": "date", "days": "ago"}, verdict=_POSSIBLE, day=quantity("date")
    ),
    _computation(
        "start_by", seasons.start_by, {"today": "date", "weeks": "number", "turning": "term?"},
        verdict=quantity("term", "fine", "late", "impossible"), day=quantity("date"),
    ),
    _computation(
        "usual_pile", seasons.usual_pile, {},
        size=quantity("size"), hours=quantity("number"), compost=quantity("amount"), area=quantity("number"),
    ),
    _computation(
        "diagnose", diagnosing.diagnose,
        _PILE | {
            "built_on": "date", "today": "date", "turned_on": "date?", "heated": "yesno?", "was_hot": "yesno?",
            "squeeze": "squeeze?", "smell": "smell?", "look": "look?", "rain": "rain?", "animals": "animals?",
            "asked": "terms?",
        },
        ask=quantity("term", "nothing", "squeeze", "smell", "look", "rain", "animals", "heated_before"),
        asked=quantity("terms"), cause=quantity("term", *CAUSES), water=quantity("amount"), add=quantity("shopping"),
        check_days=quantity("days"),
    ),
)  # fmt: skip
