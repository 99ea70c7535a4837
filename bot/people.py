"""Who of the people that share a phone is writing."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from typing import Any

from bot.advice.kinds import KINDS
from bot.reading.meaning import Meaning
from bot.store import Farmer

_BETWEEN = " \t:,;-"


LONGEST_NAME = 24
"""Letters of a name or place: it stands in most messages, and each letter is paid."""


def tidy_name(text: str) -> str:
    """A name as messages can hold it: letters, digits and what joins them, not too long."""
    kept = "".join(c if unicodedata.category(c)[0] in "LMN" or c in "'’-." else " " for c in text)
    short = " ".join(kept.split())[:LONGEST_NAME].rstrip()
    return short or " ".join(text.split())[:LONGEST_NAME]


def _plain(name: str) -> str:
    return " ".join(name.casefold().split())


def known_people(farmers: Sequence[Farmer]) -> list[Farmer]:
    """Those who have given a name, in the order in which they came."""
    return [farmer for farmer in farmers if farmer.name]


def known_names(farmers: Sequence[Farmer]) -> list[str]:
    """`1 Amina`, `2 Juma`: to be chosen by number or name."""
    return [f"{n} {farmer.name}" for n, farmer in enumerate(known_people(farmers), 1)]


def person_meant(meaning: Meaning, farmers: Sequence[Farmer]) -> dict[str, Any] | None:
    """Who a text names: {"no": farmer_no} of a known person, {"name": ...} of a new one, or None."""
    people = known_people(farmers)
    digits = re.fullmatch(r"\W*(\d{1,3})\W*", meaning.text)
    if digits is not None:
        n = int(digits.group(1))
        return {"no": people[n - 1].farmer_no} if 1 <= n <= len(people) else None
    known = next((f for f in people if _plain(f.name or "") == _plain(meaning.text)), None)
    if known is not None:
        return {"no": known.farmer_no}
    take = KINDS["text"].take
    assert take is not None
    name = None if meaning.understood else take(meaning)
    return {"name": tidy_name(name)} if name is not None else None


def speaks_for(text: str, farmers: Sequence[Farmer]) -> tuple[Farmer, str] | None:
    """The known person whose name opens a text, and the rest of it: `Amina: cold`. The longest name wins.

    A name that is all of the text, or only begins a word of it, opens nothing.
    """
    for farmer in sorted(known_people(farmers), key=lambda f: -len(f.name or "")):
        name = r"\s+".join(re.escape(word) for word in (farmer.name or "").split())
        found = re.match(rf"\s*{name}(?=[{re.escape(_BETWEEN)}])[{re.escape(_BETWEEN)}]+(?=\S)", text, re.I)
        if found is not None:
            return farmer, text[found.end() :]
    return None
