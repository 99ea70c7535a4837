"""What a text was understood to mean."""

from __future__ import annotations

from typing import Any, Literal

import msgspec

Kind = Literal[
    "topic", "size", "materials", "feel", "squeeze", "smell", "yesno", "rain", "area",
    # asked by dialogues only, never by the command line:
    "text", "number", "measure", "language", "word", "animals", "crop", "ago",
    "look", "pieces", "colour", "matter",
]  # fmt: skip
COMMAND_LINE_KINDS = ("topic", "size", "materials", "feel", "squeeze", "smell", "yesno", "rain", "area")


class MaterialAmount(msgspec.Struct, frozen=True):
    """One material named in a text, with its amount if one was given (measure `None`: a bare number)."""

    material: str
    amount: float | None = None
    measure: str | None = None


class Meaning(msgspec.Struct, frozen=True, kw_only=True):
    """Everything one text says. Units: metres, square metres, degrees Celsius, millimetres of rain.

    The fields down to `ask_again` are the contract of `python -m bot read`; those below serve the dialogues.
    """

    text: str
    understood: bool = False
    topic: str | None = None
    size_m: tuple[float, float, float] | None = None
    materials: tuple[MaterialAmount, ...] | None = None
    forbidden: tuple[str, ...] | None = None
    feel: Literal["cold", "warm", "hot"] | None = None
    celsius: float | None = None
    squeeze: Literal["dry", "damp", "wet"] | None = None
    smell: Literal["earthy", "ammonia", "rotten", "sour"] | None = None
    answer: Literal["yes", "no", "later"] | None = None
    rain: Literal["none", "some", "heavy"] | None = None
    rain_mm: float | None = None
    area_m2: float | None = None
    ask_again: bool = False

    word: str | None = None
    """A reply word of the word list (done, back, all, skip, build, status, turned, watered ...), by its id."""
    topic_alone: bool = False
    """The text is the topic or reply word and nothing else: STOP, `help`, `mbolea`."""
    number: float | None = None
    """A bare number, when the text holds exactly one that was not used for anything else."""
    measure: str | None = None
    measure_litres: float | None = None
    """An own measure and its size: `bucket of 20 litres`."""
    language: str | None = None
    """A language named, by its code."""
    code: str | None = None
    """What follows JOIN: a training-group code."""
    rest: str | None = None
    """What follows the topic word, as written: the question after TRAINER."""
    seen: tuple[str, ...] = ()
    """What the farmer tells of the pile beyond heat, moisture and smell: flies, ants, stolen ..., by id."""
    lesson: str | None = None
    """What the farmer wants explained (`why turn`), by id."""
    crop: str | None = None
    """The one crop named, by id."""
    days_ago: int | None = None
    """How long ago: `10 days ago`, `yesterday`. [d]"""
    pile: str | None = None
    """The letter of the pile that is meant (`pile B is cold`), A to H."""
    choice: str | None = None
    """Which of the answers that an open question lists (kinds `look`, `colour` ...) was told in words, by id."""
    nothing: bool = False
    """The answer is that nothing of what was asked for is there: `no smell`, `none`."""
    stranger: str | None = None
    """Not a farmer's message: `advert`, `auto_reply`; or an `insult`."""
    written_in: str | None = None
    """The language that the text is clearly written in, if it is another than the farmer's; its code."""
    unknown: tuple[str, ...] = ()
    """Words in a list of materials that were not recognised."""
    near: tuple[str, ...] = ()
    """Ids of materials that an unclear word could be; to be asked, never guessed."""
    assumed: tuple[str, ...] = ()
    """Ids of assumptions made (range_middle, feet, ...), so that the reply can say them."""


CONTRACT: tuple[str, ...] = Meaning.__struct_fields__[: Meaning.__struct_fields__.index("ask_again") + 1]
"""The fields that others script against, in their order."""


def as_contract(meaning: Meaning) -> dict[str, Any]:
    """The contract's fields as plain values; what was not said is None."""
    plain = msgspec.to_builtins(meaning)
    return {name: plain[name] for name in CONTRACT}
