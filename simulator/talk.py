"""The phone in plain text: a script on standard input, or a person at a terminal."""

from __future__ import annotations

from collections.abc import Iterator
from typing import BinaryIO, TextIO

from .lines import json_line, plain_line
from .script import DEFAULT_PHONE, Move, Rain, Say, ScriptError, Step, parse_line
from .season import Season

HINT = f"""You are a farmer with the phone {DEFAULT_PHONE}. Try: JOIN
Then: HELP, or "how much manure for a pile 2x2x2". Time passes with "@ 7d", rain falls with "@ rain 12".
Ctrl-D ends."""


class Talk:
    """Follows steps and prints the messages that each one brought.

    as_json : print every message, in and out, as a JSON object; otherwise the outgoing ones only.
    """

    def __init__(self, season: Season, out: TextIO, as_json: bool = False) -> None:
        self._season = season
        self._out = out
        self._as_json = as_json

    def follow(self, step: Step) -> None:
        """Take one step and print what it brought."""
        match step:
            case Say(phone=phone, text=text):
                self._season.say(phone, text)
                self._print_text(phone)
            case Move(span=span):
                self._season.move(span)
            case Rain(mm=mm, place=place):
                self._season.rain(mm, place)
        for sent in self._season.news():
            print(json_line(sent) if self._as_json else plain_line(sent), file=self._out)
        self._out.flush()

    def _print_text(self, phone: str) -> None:
        """The text just taken, with what was read in it, as the record has it."""
        if self._as_json:
            taken = [entry for entry in self._season.record(phone) if entry.direction == "in"]
            print(json_line(taken[-1]), file=self._out)


def run_script(talk: Talk, lines: BinaryIO, err: TextIO) -> int:
    """Follow a script line by line, as it arrives. Returns the exit code.

    Stops at the first line that cannot be followed, names it on `err` and returns 2; what came before
    it has happened.
    """
    for number, line in enumerate(script_lines(lines), start=1):
        try:
            step = parse_line(line)
        except ScriptError as exc:
            print(f"line {number}: {exc}", file=err)
            return 2
        if step is not None:
            talk.follow(step)
    return 0


def script_lines(source: BinaryIO) -> Iterator[str]:
    """Lines of UTF-8 text. Bytes that are no UTF-8 become U+FFFD, as in a message spoilt on its way."""
    for number, raw in enumerate(source):
        encoding = "utf-8" if number else "utf-8-sig"
        yield raw.decode(encoding, errors="replace").removesuffix("\n").removesuffix("\r")


def run_terminal(talk: Talk, err: TextIO) -> int:
    """Talk with a person, who may mistype: a line that cannot be followed is explained and forgotten."""
    print(HINT, file=err)
    for line in _typed_lines():
        try:
            step = parse_line(line)
        except ScriptError as exc:
            print(exc, file=err)
            continue
        if step is not None:
            talk.follow(step)
    return 0


def _typed_lines() -> Iterator[str]:
    while True:
        try:
            yield input("farmer> ")
        except (EOFError, KeyboardInterrupt):
            print()
            return
