"""Everything that dialogue files may compute: each computation with its inputs and outputs (docs/dialogues.md)."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from bot.advice import (
    building,
    caring,
    diagnosing,
    field,
    foreseeing,
    gathering,
    planning,
    ripeness,
    seasons,
    selling,
)
from bot.dialogue.vocabulary import Computation, Quantity


def quantity(kind: str, *values: str, optional: bool = False) -> Quantity:
    return Quantity(kind=kind, values=values, optional=optional)


_q = quantity


def _computation(
    name: str, run: Callable[..., Mapping[str, Any]], inputs: dict[str, str], **outputs: Quantity
) -> Computation:
    """inputs : name to kind; a `?` behind the kind makes it optional."""
    taken = {n: Quantity(kind=k.removesuffix("?"), optional=k.endswith("?")) for n, k in inputs.items()}
    return Computation(name=name, inputs=taken, outputs=outputs, run=run)


_SIZE = {"size": "size"}
_PILE = _SIZE | {"materials": "materials", "measure": "measure?"}
_WEEK = _PILE | {"rain_mm": "number?", "latitude": "number?", "squeeze": "squeeze?"}
_YES_NO = _q("term", "yes", "no")
_POSSIBLE = _q("term", "fine", "impossible")
_NEED = _q("term", "needed", "rain", "damp")
CAUSES = (
    "working too_dry too_wet no_air too_little_nitrogen too_much_nitrogen too_alkaline too_small too_coarse "
    "too_much_soil too_young finished cooled_by_weather packed disturbed badly_mixed overheated self_ignition "
    "not_stable standing_water flies_breeding other unclear"
).split()

COMPUTATIONS = (
    _computation("check_size", planning.judge_size, _SIZE, verdict=_q("term", "fine", "small", "tall", "impossible")),
    _computation(
        "sort_materials", planning.sort_materials, {"said": "materials", "before": "materials?", "near": "choices?"},
        materials=_q("materials"), trouble=_q("term", "no", "forbidden", "near", "strange", "none"),
        beside=_q("term", "near", "strange", "no"),
        empty=_q("term", "yes", "no"), forbidden=_q("terms"), near=_q("choices"), unknown=_q("words"),
    ),
    _computation(
        "manure_for", planning.manure_for, _SIZE | {"materials": "materials?", "measure": "measure?", "named": "measure?"},
        need=_q("shopping"), holds=_q("number"),
    ),
    _computation(
        "size_for", planning.size_for, {"materials": "materials", "measure": "measure?"},
        verdict=_q("term", "fine", "little", "no_amount"), size=_q("size"), material=_q("material"),
        least=_q("shopping"),
    ),
    _computation(
        "recipe", planning.recipe, _PILE,
        trouble=_q("term", "none", "no_vegetation", "no_feed"), shopping=_q("shopping"), rounds=_q("number"),
        watering=_q("term", "needed", "none"),
        water=_q("amount"), litres=_q("number"), water_round=_q("amount"), verdict=_q("term", "good", "slow", "smells"),
        mend=_q("shopping", optional=True), short=_q("shopping", optional=True), fits=_q("size", optional=True),
    ),
    _computation(
        "gathered", gathering.gathered, _PILE | {"before": "materials?", "said": "materials?"},
        gathered=_q("materials"), trouble=_q("term", "no", "forbidden"), forbidden=_q("terms"),
        left=_q("term", "some", "nothing"), missing=_q("shopping"),
    ),
    _computation(
        "layer", building.layer, _PILE | {"position": "number?", "move": "term?"},
        part=_q("term", "foundation", "keep_in", "round", "cap", "rest", "finished"), position=_q("number"),
        items=_q("shopping"), height=_q("number"), water=_q("amount"), watering=_q("term", "needed", "none"),
        round=_q("number"),
        rounds=_q("number"), left=_q("number"), cover=_q("shopping"),
    ),
    _computation(
        "care", caring.care, _WEEK | {"built_on": "date", "today": "date", "turning": "term?"},
        week=_q("number"), time=_q("term", "first", "later", "over"), watering=_NEED, water=_q("amount"),
        settled=_YES_NO, next=_q("days"),
    ),
    _computation(
        "watering", caring.watering, _WEEK | {"built_on": "date?", "today": "date?"},
        need=_NEED, water=_q("amount"),
    ),
    _computation(
        "foresee", foreseeing.foresee,
        _PILE | {
            "built_on": "date", "today": "date", "history": "series", "turning": "term?", "latitude": "number?",
        },
        known=_YES_NO, heat=_q("term", "cold", "warm", "hot"), ready_from=_q("date"), ready_to=_q("date"),
        ask=_q("term", "feel", "squeeze", "smell"),
    ),
    _computation("pace", caring.pace, {"turning": "term?"}, days=_q("days")),
    _computation("drench", caring.drench, _PILE, water=_q("amount"), cooling=_q("amount")),
    _computation(
        "reach", field.reach, _PILE | {"crop": "crop?"},
        compost=_q("amount"), sacks=_q("number"), area=_q("number"), crop=_q("crop"), by=_q("term", "hole", "bed"),
        handfuls=_q("amount"), bed=_q("amount"), touches=_YES_NO,
    ),
    _computation(
        "needed_for", field.needed_for, {"area": "area", "crop": "crop?", "measure": "measure?"},
        verdict=_POSSIBLE, compost=_q("amount"), piles=_q("number"), size=_q("size"), crop=_q("crop"), area=_q("number"),
    ),
    _computation(
        "sale", selling.sale, _PILE | {"price": "number?", "turns": "number?"},
        verdict=_POSSIBLE, sacks=_q("number"), sales=_q("number"), hours=_q("number"), price=_q("number"),
    ),
    _computation(
        "as_fertiliser", selling.as_fertiliser, _PILE | {"price": "number"}, verdict=_POSSIBLE, value=_q("number")
    ),
    _computation(
        "ripeness", ripeness.ripeness,
        {
            "built_on": "date", "today": "date", "turns": "number?", "heat": "feel?", "smell": "smell?",
            "pieces": "pieces?", "colour": "colour?", "sprouts": "term?", "turning": "term?",
        },
        ask=_q("term", "nothing", "heat", "smell", "pieces", "colour"),
        verdict=_q("term", "ready", "cure", "not_ready", "unknown"),
        against=_q(
            "term", "nothing", "hot", "reheats", "smells", "pieces", "colour", "not_crumbly", "too_young", "cn_high",
            "harms_seeds", "weak_seeds",
        ),
    ),
    _computation(
        "sprouts", ripeness.sprouts, {"in_compost": "number", "in_soil": "number"},
        verdict=_q("term", "well", "fairly", "badly", "bad_seed"),
    ),
    _computation(
        "hygiene", ripeness.hygiene, {"built_on": "date", "today": "date", "heats": "series", "turned": "series"},
        proven=_YES_NO, touching=_q("number"), above=_q("number"),
    ),
    _computation(
        "day_before", seasons.day_before, {"today": "date", "days": "ago"}, verdict=_POSSIBLE, day=_q("date")
    ),
    _computation(
        "start_by", seasons.start_by, {"today": "date", "weeks": "number"},
        verdict=_q("term", "fine", "late", "impossible"), day=_q("date"),
    ),
    _computation(
        "usual_pile", seasons.usual_pile, {},
        size=_q("size"), hours=_q("number"), area=_q("number"),
    ),
    _computation(
        "diagnose", diagnosing.diagnose,
        _PILE | {
            "built_on": "date", "today": "date", "turned_on": "date?", "heated": "yesno?", "was_hot": "yesno?",
            "squeeze": "squeeze?", "smell": "smell?", "look": "look?", "rain": "rain?", "animals": "animals?",
            "asked": "terms?", "tried": "terms?",
            "history": "series?", "turning": "term?", "latitude": "number?",
        },
        ask=_q("term", "nothing", "squeeze", "smell", "look", "rain", "animals", "heated_before"),
        asked=_q("terms"), cause=_q("term", *CAUSES), water=_q("amount"), add=_q("shopping"),
        check_days=_q("days"), tried=_q("terms"),
    ),
)  # fmt: skip
