"""The longest value that each kind of fact may reasonably have in a language: messages are measured with these."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, timedelta
from typing import Any

from bot.dialogue.turn import Filled
from bot.dialogue.vocabulary import Quantity
from bot.reading.words import WordList
from bot.wording.speaker import Speaker

ITEMS = {"recipe.shopping": 5, "recipe.short": 4, "layer.items": 4, "gathered.missing": 4}
"""How many materials a list may name; every other list of amounts holds one."""
LIST_KINDS = frozenset({"choices", "languages", "words", "terms", "materials"})
FEW, MANY, LITRES = 40, 120, 9999
CARRIED = ("bucket", "basin", "wheelbarrow", "sack", "oxcart", "headload")
NAME, PLACE, WORD = "Chimwemwe-Ana", "Nyangombe Kati", "zibandukulu"
DAYS = [date(2026, 1, 28) + timedelta(days=30 * n) for n in range(12)]


def is_list(fact: str, kind: str) -> bool:
    return kind in LIST_KINDS or ITEMS.get(fact, 1) > 1


class Worst:
    """Worst values of one language, found by writing all that there are and taking the longest."""

    def __init__(self, speaker: Speaker, words: WordList) -> None:
        self._write = speaker.writer(words.code).write
        self._words = words
        self._amount = {
            "n": MANY,
            "measure": self._longest("amount", [_amount(m) for m in CARRIED])["measure"],
        }
        vessels = ("bucket", "basin")
        self._water = self._longest("amount", [_amount(m) for m in vessels])
        self._materials = sorted(words.materials, key=lambda m: -len(words.materials[m].say))
        self._by_kind: Mapping[str, Callable[[str], Any]] = {
            "amount": lambda fact: self._water if "water" in fact or "cool" in fact else self._amount,
            "shopping": self._shopping,
            "material": lambda fact: self._materials[0],
            "materials": lambda fact: self._materials[:4],
            "choices": lambda fact: self._materials[:3],
            "crop": lambda fact: max(words.crops, key=lambda c: len(words.crops[c].say)),
            "size": lambda fact: [2.5, 2.5, 1.5],
            "date": lambda fact: self._longest("date", [day.isoformat() for day in DAYS]),
            "number": _number,
            "days": lambda fact: 14,
            "ago": lambda fact: MANY,
            "area": lambda fact: LITRES,
            "text": lambda fact: PLACE if fact.endswith("place") else NAME,
            "words": lambda fact: [WORD, WORD],
            "languages": lambda fact: "languages",
        }

    def value(self, fact: str, quantity: Quantity) -> Filled:
        """Raises KeyError for a kind that no message may hold."""
        if quantity.kind in ("term", "terms"):
            names = list(quantity.values) or list(self._words.forbidden)
            longest = sorted(names, key=lambda name: -len(self._write("term", name)))
            return Filled(quantity.kind, longest[0] if quantity.kind == "term" else longest[:2])
        return Filled(quantity.kind, self._by_kind[quantity.kind](fact))

    def _shopping(self, fact: str) -> list[dict[str, Any]]:
        return [{"material": m, "amount": self._amount} for m in self._materials[: ITEMS.get(fact, 1)]]

    def _longest(self, kind: str, values: list[Any]) -> Any:
        return max(values, key=lambda value: len(self._write(kind, value)))


def _amount(measure: str) -> dict[str, Any]:
    return {"n": MANY, "measure": measure}


def _number(fact: str) -> int:
    """Weeks and rounds are few, money and square metres many."""
    if fact.endswith(("week", "weeks", "round", "rounds", "left", "height")):
        return FEW
    return LITRES if fact.endswith(("area", "sales", "price", "value")) else MANY
