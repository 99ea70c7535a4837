"""Kinds of values that dialogues work with, and how each is taken from a message."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import msgspec

from bot.dialogue.vocabulary import ValueKind
from bot.reading.meaning import Meaning

TOO_HOT_C, HOT_C, WARM_C = 70.0, 50.0, 30.0  # [C] stick bands: practice; above 70 C the pile harms itself
POSSIBLE_C = (-20.0, 95.0)  # [C] outside it the thermometer is wrong, or the pile burns
HEATS = ("cold", "warm", "hot", "too_hot", "impossible")


def materials_of(meaning: Meaning) -> dict[str, Any] | None:
    """All that a message says of materials; None if it says nothing of them."""
    known = [msgspec.to_builtins(m) for m in meaning.materials or ()]
    value = {
        "known": known,
        "near": list(meaning.near),
        "unknown": list(meaning.unknown),
        "forbidden": list(meaning.forbidden or ()),
    }
    if meaning.number is not None and not any(value.values()):
        return {**value, "number": meaning.number}
    return value if any(value.values()) else None


def heat_of(meaning: Meaning) -> str | None:
    """How hot a message says the pile is: the word, or the band of a temperature."""
    if meaning.celsius is None:
        return meaning.feel
    if not POSSIBLE_C[0] <= meaning.celsius <= POSSIBLE_C[1]:
        return "impossible"
    for name, least in (("too_hot", TOO_HOT_C), ("hot", HOT_C), ("warm", WARM_C)):
        if meaning.celsius >= least:
            return name
    return "cold"


def _feel(meaning: Meaning) -> str | None:
    heat = heat_of(meaning)
    return {"too_hot": "hot", "impossible": None}.get(heat, heat) if heat else None


def measure_of(meaning: Meaning) -> dict[str, Any] | None:
    """The measure that a message names, with its litres if told."""
    if meaning.measure is None or meaning.measure_litres == 0:
        return None
    return {"measure": meaning.measure, "litres": meaning.measure_litres}


def _text(meaning: Meaning) -> str | None:
    plain = "".join(c if c.isprintable() else " " for c in meaning.rest or meaning.text)
    text = " ".join(plain.split())[:60]
    asks = meaning.topic is not None and (meaning.size_m is not None or meaning.materials is not None)
    return None if meaning.topic_alone or asks or not any(c.isalnum() for c in text) else text


def _kind(name: str, field: str, *values: str, carries: bool = False) -> ValueKind:
    def take(meaning: Meaning) -> Any:
        value = getattr(meaning, field)
        return list(value) if isinstance(value, tuple) else value

    return ValueKind(name=name, values=values, reads=name, take=take, carries=carries)


def _chosen(name: str, *values: str) -> ValueKind:
    """Answered by the number of the choice, or by the words that a list has for it."""

    def take(meaning: Meaning) -> str | None:
        return meaning.choice if meaning.choice in values else None

    return ValueKind(name=name, values=values, reads=name, take=take)


_ANIMALS = {"flies": "flies", "ants": "ants", "termites": "termites", "rats": "diggers", "diggers": "diggers"}


def _animals(meaning: Meaning) -> str | None:
    """The first animal named that the question lists; `none` where the farmer says that there is none."""
    if meaning.nothing:
        return "none"
    return next((_ANIMALS[sight] for sight in meaning.seen if sight in _ANIMALS), None)


def _smell(meaning: Meaning) -> str | None:
    return "none" if meaning.nothing else meaning.smell


def _understood_by_the_world(name: str) -> ValueKind:
    """Which pile, or who: only a farmer's own piles and the people on the phone can tell."""
    return ValueKind(name=name, reads="number", take=lambda meaning: None, own=True)


_ASKED = (
    _kind("size", "size_m", carries=True),
    ValueKind(name="materials", reads="materials", take=materials_of, carries=True),
    ValueKind(name="measure", reads="measure", take=measure_of),
    ValueKind(name="feel", values=("cold", "warm", "hot"), reads="feel", take=_feel),
    _kind("squeeze", "squeeze", "dry", "damp", "wet"),
    ValueKind(
        name="smell", values=("earthy", "none", "ammonia", "rotten", "sour"), reads="smell", take=_smell
    ),
    _kind("yesno", "answer", "yes", "no"),
    _kind("rain", "rain", "none", "some", "heavy"),
    _kind("language", "language"),
    ValueKind(name="text", reads="text", take=_text),
    ValueKind(name="word", reads="word", take=lambda meaning: None, offered=True),
    ValueKind(name="crop", reads="crop", take=lambda meaning: meaning.crop, carries=True),
    ValueKind(name="area", reads="area", take=lambda meaning: meaning.area_m2),
    ValueKind(name="number", reads="number", take=lambda meaning: meaning.number),
    ValueKind(name="ago", reads="ago", take=lambda meaning: meaning.days_ago, carries=True),
    _understood_by_the_world("pile"),
    _understood_by_the_world("person"),
    _chosen("pieces", "gone", "some", "most"),
    _chosen("colour", "dark", "brown", "unchanged"),
    _chosen("matter", "place", "season", "size", "sharing"),
    _chosen("look", "ordinary", "coarse", "matted", "crumbly", "soil", "patchy"),
    ValueKind(
        name="animals",
        values=("none", "flies", "ants", "termites", "diggers"),
        reads="animals",
        take=_animals,
    ),
)
_WORKED_OUT = (
    "days",
    "date",
    "amount",
    "shopping",
    "material",
    "term",
    "terms",
    "words",
    "languages",
    "choices",
    "series",
)
KINDS: Mapping[str, ValueKind] = {
    **{kind.name: kind for kind in _ASKED},
    **{name: ValueKind(name=name) for name in _WORKED_OUT},
}
