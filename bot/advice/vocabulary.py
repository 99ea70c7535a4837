"""Everything that dialogue files may name, put together: see docs/dialogues.md."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

import msgspec

from bot.advice import building, caring, diagnosing, planning
from bot.advice.kinds import HEATS, KINDS
from bot.dialogue.vocabulary import Computation, Quantity, Vocabulary
from bot.reading.words import TOPICS, WordList

ACTIONS = frozenset(
    "new_farmer consent forget_me stop_line start_line plan_pile keep_reading keep_turned keep_rain "
    "ask_trainer alert_trainer".split()
)


def _q(kind: str, *values: str, optional: bool = False) -> Quantity:
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
_NEED = _q("term", "needed", "rain", "damp")
_CAUSES = (
    "working too_dry too_wet no_air too_little_nitrogen too_much_nitrogen too_alkaline too_small too_coarse "
    "too_much_soil too_young finished cooled_by_weather packed disturbed badly_mixed overheated self_ignition "
    "not_stable standing_water flies_breeding other unclear"
).split()

COMPUTATIONS = (
    _computation("check_size", planning.judge_size, _SIZE, verdict=_q("term", "fine", "small", "tall", "impossible")),
    _computation(
        "sort_materials", planning.sort_materials, {"said": "materials", "before": "materials?", "near": "choices?"},
        materials=_q("materials"), trouble=_q("term", "no", "forbidden", "near", "strange", "none"),
        empty=_q("term", "yes", "no"), forbidden=_q("terms"), near=_q("choices"), unknown=_q("words"),
    ),
    _computation(
        "manure_for", planning.manure_for, _SIZE | {"materials": "materials?", "measure": "measure?", "named": "measure?"},
        need=_q("shopping"), vegetation=_q("material"), holds=_q("number"),
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
        "layer", building.layer, _PILE | {"position": "number?", "move": "term?"},
        part=_q("term", "foundation", "keep_in", "round", "cap", "rest", "finished"), position=_q("number"),
        items=_q("shopping"), height=_q("number"), water=_q("amount"), watering=_q("term", "needed", "none"),
        round=_q("number"),
        rounds=_q("number"), left=_q("number"), cover=_q("shopping"),
    ),
    _computation(
        "care", caring.care, _WEEK | {"built_on": "date", "today": "date"},
        week=_q("number"), time=_q("term", "first", "later", "over"), watering=_NEED, water=_q("amount"),
    ),
    _computation(
        "watering", caring.watering, _WEEK | {"built_on": "date?", "today": "date?"},
        need=_NEED, water=_q("amount"),
    ),
    _computation("drench", caring.drench, _PILE, water=_q("amount"), cooling=_q("amount")),
    _computation(
        "age", caring.age, {"built_on": "date", "today": "date"}, weeks=_q("number"), early=_q("term", "yes", "no")
    ),
    _computation("reach", caring.reach, _PILE, compost=_q("amount"), sacks=_q("number"), area=_q("number")),
    _computation(
        "diagnose", diagnosing.diagnose,
        _PILE | {
            "built_on": "date", "today": "date", "turned_on": "date?", "heated": "yesno?", "was_hot": "yesno?",
            "squeeze": "squeeze?", "smell": "smell?", "look": "look?", "rain": "rain?", "animals": "animals?",
            "asked": "terms?",
        },
        ask=_q("term", "nothing", "squeeze", "smell", "look", "rain", "animals", "heated_before"),
        asked=_q("terms"), cause=_q("term", *_CAUSES), water=_q("amount"), add=_q("shopping"),
        check_days=_q("days"),
    ),
)  # fmt: skip

GIVEN: Mapping[str, Quantity] = {
    "bot.today": _q("date"),
    "bot.languages": _q("languages"),
    "bot.joined": _q("term", "yes", "no"),
    "bot.latitude": _q("number"),
    "bot.rain_mm": _q("number", optional=True),
    "bot.turned_on": _q("date", optional=True),
    "bot.pile": _q("text", optional=True),
    "bot.squeeze": _q("squeeze", "dry", "damp", "wet", optional=True),
    "bot.squeeze_now": _q("squeeze", "dry", "damp", "wet", optional=True),
    "bot.smell_now": _q("smell", "earthy", "ammonia", "rotten", "sour", optional=True),
    "bot.was_hot": _q("yesno", "yes", "no"),
    "bot.next_on": _q("date", optional=True),
    "message.size_m": _q("size", optional=True),
    "message.materials": _q("materials", optional=True),
    "message.measure": _q("measure", optional=True),
    "message.amounts": _q("term", "yes", "no"),
    "message.rest": _q("text", optional=True),
    "message.heat": _q("term", *HEATS, optional=True),
    "message.feel": _q("feel", optional=True),
    "message.celsius": _q("number", optional=True),
    "message.squeeze": _q("squeeze", "dry", "damp", "wet", optional=True),
    "message.smell": _q("smell", "earthy", "ammonia", "rotten", "sour", optional=True),
    "message.rain": _q("rain", optional=True),
    "message.rain_mm": _q("number", optional=True),
    "message.forbidden": _q("terms", optional=True),
}


def vocabulary(lists: Iterable[WordList]) -> Vocabulary:
    """The vocabulary for these languages: a dialogue may offer a reply word that every language knows."""
    lists = list(lists)
    words = [set(words.replies) for words in lists]
    language = msgspec.structs.replace(KINDS["language"], values=tuple(words.code for words in lists))
    common = frozenset(set.intersection(*words)) if words else frozenset()
    return Vocabulary(
        kinds={**KINDS, "language": language},
        computations={c.name: c for c in COMPUTATIONS},
        actions=ACTIONS,
        topics=frozenset(TOPICS),
        reply_words=common | {"yes", "no", "later"},
        given=GIVEN,
    )
