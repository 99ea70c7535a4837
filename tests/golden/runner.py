"""Plays a conversation file against the real bot and gives it back with the replies that came.

A file is text for people:

    # a comment; an empty line is left as it is
    @ after 1_enrol          play another file of this language first, without showing it
    > what the farmer writes
    < [1 GSM-7] what the bot answers: segments, encoding, text
    @ 7d                     time passes; what falls due on the way is sent
    < reminder [1 GSM-7] a message that nobody asked for
    @ rain 12                the weather reports 12 mm
"""

from __future__ import annotations

from pathlib import Path

from bot import Config, LogEntry
from bot.config import Group
from simulator.lines import escape
from simulator.opening import open_season
from simulator.script import DEFAULT_PHONE, Move, Rain, parse_order
from simulator.season import Season

FOLDER = Path(__file__).parent
AFTER = "@ after "
GROUPS = (
    Group(code="HILL7", name="Green Hill group", language="en", place="Green Hill"),
    Group(code="BONDE7", name="Kikundi cha Bonde", language="sw", place="Bonde"),
)


class BadConversation(Exception):
    """A line of a conversation file that cannot be followed, or a file in which nothing is answered."""


def conversations() -> list[Path]:
    return sorted(FOLDER.glob("*/*.txt"))


def replies(text: str) -> list[str]:
    return [line for line in text.splitlines() if line.startswith("<")]


def play(path: Path) -> str:
    """The conversation with the replies that the bot gives now. Raises BadConversation, ScriptError."""
    return played(path)[0]


def played(path: Path) -> tuple[str, int]:
    """The same, and how many messages were not understood or asked again. Raises as `play`."""
    with open_season(_config(path.parent.name)) as season:
        text = _play(path, season)
        missed = sum(_missed(entry) for entry in season.record())
    if not replies(text):
        raise BadConversation(f"{path.name}: nothing is answered in it")
    return text, missed


def _missed(entry: LogEntry) -> bool:
    return entry.read is not None and not entry.read["understood"]


def _config(language: str) -> Config:
    """A programme that offers English, Swahili and the language of the conversation."""
    offered = tuple(dict.fromkeys(("en", "sw", language)))
    return Config(languages=offered, default_language=language, groups=GROUPS)


def _play(path: Path, season: Season) -> str:
    out: list[str] = []
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
        if line.startswith("<"):
            continue
        out.append(line)
        before = len(season.record())
        try:
            _follow(line, path, season)
        except BadConversation as exc:
            raise BadConversation(f"{path.name}, line {number}: {exc}") from None
        if not line.startswith(AFTER):
            out += [shown(entry) for entry in season.record()[before:] if entry.direction == "out"]
    return "\n".join(out) + "\n"


def _follow(line: str, path: Path, season: Season) -> None:
    if line.startswith(AFTER):
        _play(path.with_name(line.removeprefix(AFTER).strip() + ".txt"), season)
    elif line.startswith("> ") or line == ">":
        season.say(DEFAULT_PHONE, line[2:])
    elif line.startswith("@ "):
        _order(line[2:].strip(), season)
    elif line.strip() and not line.startswith("#"):
        raise BadConversation(f"cannot follow {line!r}")


def _order(order: str, season: Season) -> None:
    match parse_order(order):
        case Move(span=span):
            season.move(span)
        case Rain(mm=mm, place=place):
            season.rain(mm, place)


def shown(entry: LogEntry) -> str:
    """An outgoing message as a line of the file; one that was never sent says so."""
    why = "" if entry.why == "reply" else f"{entry.why} "
    kept_back = "(dropped) " if entry.state == "dropped" else ""
    return f"< {kept_back}{why}[{entry.segments} {entry.encoding}] {escape(entry.text)}"
