"""What the bot knows of a farmer, as headings and lines for a person to read."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import datetime
from typing import Any

from babel import Locale, UnknownLocaleError

# Numbers that tie rows of the database together; they tell a reader nothing.
_INTERNAL = {"line_id", "farmer_no", "reading_no", "in_no", "created_at", "letter"}
_READ_ASIDE = {"text", "understood", "ask_again"}
_TASKS = {"silence": "asks again if no answer comes"}
_READING = ("kind", "value", "celsius")

Row = tuple[str, str]
Section = dict[str, Any]
When = Callable[[datetime], str]


def sections(view: Mapping[str, Any], when: When, page_language: str) -> list[Section]:
    """Headings with their rows (name and value), from `Bot.pile_view`; empty for an unknown phone.

    when : writes a moment in the farmers' zone.
    """
    if not view:
        return []
    found = [_section("Farmer", _farmer(view, when, page_language))]
    for pile in view["piles"]:
        found.append(_section(f"Pile {pile['letter']}", _pile(pile, when)))
    found.append(_section("Waits for an answer", _question(view["open_question"])))
    found.append(_section("Planned", [_planned(task, when) for task in view["next"]]))
    return [section for section in found if section["rows"]]


def _section(title: str, rows: Iterator[Row] | list[Row]) -> Section:
    return {"title": title, "rows": list(rows)}


def _farmer(view: Mapping[str, Any], when: When, page_language: str) -> Iterator[Row]:
    for name, value in view["farmer"].items():
        if name == "facts":
            yield from _rows(value)
        elif name == "language" and value:
            yield "Language", language_name(value, page_language)
        elif name == "consent_at" and value:
            yield "Agreed", when(datetime.fromisoformat(value))
        else:
            yield from _rows({name: value})
    yield "Messages", "stopped by the farmer" if view["line"] == "stopped" else "may be sent"


def _pile(pile: Mapping[str, Any], when: When) -> Iterator[Row]:
    yield from _rows({name: pile[name] for name in pile if name not in ("facts", "readings")})
    yield from _rows(pile["facts"])
    for reading in pile["readings"]:
        yield when(datetime.fromisoformat(reading["at"])), _reading(reading)


def _reading(reading: Mapping[str, Any]) -> str:
    told = [words(reading[name]) for name in _READING if reading[name] not in (None, "yes")]
    return " ".join(told) + (" C" if reading["celsius"] is not None else "")


def _question(question: Mapping[str, Any] | None) -> Iterator[Row]:
    if question:
        yield from _rows(question)


def _planned(task: Mapping[str, Any], when: When) -> Row:
    pile = f", pile {task['letter']}" if task["letter"] else ""
    return when(datetime.fromisoformat(task["at"])), _TASKS.get(
        task["dialogue"], words(task["dialogue"])
    ) + pile


def _rows(values: Mapping[str, Any]) -> Iterator[Row]:
    """A row for each value that says something."""
    for name, value in values.items():
        shown = size_words(value) if name == "size" else words(value)
        if shown and name not in _INTERNAL:
            yield label(name), shown


def label(name: str) -> str:
    """A name of the store as a person would write it: `built_on` is `Built on`."""
    spaced = name.replace("_", " ")
    return spaced[:1].upper() + spaced[1:]


def size_words(value: Any) -> str:
    """Length, width and height. [m]"""
    if isinstance(value, list) and value:
        return " x ".join(words(one) for one in value) + " m"
    return words(value)


def words(value: Any) -> str:
    """Any JSON value on one line; empty when there is nothing to say.

    >>> words({"known": [{"material": "goat_manure", "amount": 10.0, "measure": "sack"}], "unknown": []})
    'known: 10 sack goat manure'
    """
    match value:
        case None:
            return ""
        case bool():
            return "yes" if value else "no"
        case float():
            return f"{value:g}"
        case list():
            return ", ".join(shown for one in value if (shown := words(one)))
        case {"measure": measure, "litres": litres}:
            return f"{words(measure)} of {words(litres)} litres" if litres is not None else words(measure)
        case {"material": material}:
            told = [words(value.get("amount")), words(value.get("measure")), words(material)]
            return " ".join(word for word in told if word)
        case dict():
            return "; ".join(f"{label(k).lower()}: {shown}" for k, v in value.items() if (shown := words(v)))
    return str(value).replace("_", " ")


def read_words(read: Mapping[str, Any]) -> str:
    """What the reader made of a text, without the text itself and without all that was not found.

    >>> read_words({"text": "JOIN", "understood": True, "topic": "join", "size_m": None, "ask_again": False})
    'read as topic: join'
    """
    found = {name: value for name, value in read.items() if name not in _READ_ASIDE}
    told = words(found)
    if not read["understood"]:
        return f"not understood ({told})" if told else "not understood"
    return f"read as {told or 'the answer to the question'}"


def language_name(code: str, page_language: str) -> str:
    """A language by its name in the page's language; the code itself if nobody knows it."""
    try:
        return Locale.parse(code).get_display_name(page_language) or code
    except (UnknownLocaleError, ValueError):
        return code
