"""A second way to write a language, such as Hindi in Latin letters: read by the other's list, with names of its own."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Literal

import msgspec

from bot.datafile import Document
from bot.reading.words import (
    CROPS,
    FORBIDDEN,
    MATERIALS,
    MEASURES,
    Crop,
    Forbidden,
    Material,
    Measure,
    Plural,
    WordList,
    check_amounts,
)


class _Part(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    pass


class _Said(_Part, frozen=True):
    say: str


class _SaidAmount(_Part, frozen=True):
    say: dict[Plural, str]


class NamesOnly(_Part, frozen=True):
    """like: the code of the list whose words are read. The rest is what messages say, as in that list."""

    like: str
    name: str
    review: Literal["draft", "native"]
    measures: dict[Measure, _SaidAmount]
    materials: dict[Material, _Said]
    forbidden: dict[Forbidden, _Said]
    crops: dict[Crop, _Said]
    terms: dict[str, str]


_NAMED = {"measures": MEASURES, "materials": MATERIALS, "forbidden": FORBIDDEN, "crops": CROPS}


def is_names_only(document: Document) -> bool:
    return isinstance(document.data, dict) and "like" in document.data


def named_like(document: Document, lists: Mapping[str, WordList]) -> WordList:
    """The other list's words under this file's names. lists: the whole lists by code. Raises BadFile."""
    names = document.convert(NamesOnly)
    other = lists.get(names.like)
    if other is None:
        raise document.error("like", f"{names.like!r} has no word list; there are {', '.join(lists)}")
    for section, ids in _NAMED.items():
        missing = [each for each in ids if each not in getattr(names, section)]
        if missing:
            raise document.error(section, f"missing: {', '.join(missing)}")
    missing = [term for term in other.terms if term not in names.terms]
    if missing:
        raise document.error("terms", f"missing: {', '.join(missing)}")
    words = msgspec.structs.replace(
        other,
        like=names.like,
        code=Path(document.file).parent.name,
        file=document.file,
        name=names.name,
        review=names.review,
        terms=names.terms,
        **{section: _renamed(getattr(other, section), getattr(names, section)) for section in _NAMED},
    )
    check_amounts(words, document)
    return words


def _renamed(
    words: Mapping[str, msgspec.Struct], names: Mapping[str, _Said | _SaidAmount]
) -> dict[str, msgspec.Struct]:
    return {each: msgspec.structs.replace(words[each], say=names[each].say) for each in words}
