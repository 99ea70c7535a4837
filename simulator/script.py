"""One line of a `talk` script to one step. Pure: no bot, no clock, no files.

The form of a script is described in docs/simulator.md.
"""

from __future__ import annotations

import math
import re
from datetime import timedelta

import msgspec
import phonenumbers

DEFAULT_PHONE = "+447700900001"
"""The phone of lines that name none; from the range kept free for drama."""

LONGEST_MOVE = timedelta(days=3660)
MOST_RAIN_MM = 2000.0
"""Just above the most rain measured anywhere in one day, 1825 mm (World Meteorological Organization's
archive of extremes; from memory)."""

_PHONE_PREFIX = re.compile(r"\s*(\+[\d ().-]*\d[\d ().-]*):[ \t]?(.*)", re.DOTALL)
_SPAN = re.compile(r"(\d+(?:\.\d+)?)\s*(w|d|h|m)", re.IGNORECASE)
_RAIN = re.compile(r"rain\s+(\S+?)(?:\s*mm)?(?:\s+(\S.*))?", re.IGNORECASE)
_HOURS = {"w": 168.0, "d": 24.0, "h": 1.0, "m": 1 / 60}


class ScriptError(ValueError):
    """A line that cannot be followed; the text says what was found and what would do."""


class Say(msgspec.Struct, frozen=True):
    """A farmer sends a text."""

    phone: str
    text: str


class Move(msgspec.Struct, frozen=True):
    """The clock moves on."""

    span: timedelta


class Rain(msgspec.Struct, frozen=True):
    """The weather reports rain. [mm] Place None: everywhere."""

    mm: float
    place: str | None = None


Step = Say | Move | Rain


def parse_line(line: str, default_phone: str = DEFAULT_PHONE) -> Step | None:
    """Read one line of a script; None for an empty line or a comment.

    Raises ScriptError for an order (`@ ...`) or a phone number that cannot be followed.

    >>> parse_line("JOIN")
    Say(phone='+447700900001', text='JOIN')
    >>> parse_line("+44 7700 900002: # 5 buckets")
    Say(phone='+447700900002', text='# 5 buckets')
    >>> parse_line("@ rain 12")
    Rain(mm=12.0, place=None)
    """
    bare = line.strip()
    if not bare or bare.startswith("#"):
        return None
    if bare.startswith("@"):
        return parse_order(bare[1:].strip())
    addressed = _PHONE_PREFIX.fullmatch(line)
    if addressed:
        return Say(parse_phone(addressed[1]), addressed[2])
    return Say(default_phone, line)


def parse_phone(text: str) -> str:
    """A phone number in its international form, E.164. Possible is enough: it need not be in use.

    Raises ScriptError for a number that cannot exist.
    """
    try:
        number = phonenumbers.parse(text, None)
    except phonenumbers.NumberParseException as exc:
        raise ScriptError(f"{text!r} is no phone number; write it like {DEFAULT_PHONE}") from exc
    if not phonenumbers.is_possible_number(number):
        raise ScriptError(f"{text!r} cannot be a phone number; write it like {DEFAULT_PHONE}")
    return phonenumbers.format_number(number, phonenumbers.PhoneNumberFormat.E164)


def parse_order(order: str) -> Step:
    """Read what follows the `@`: a span of time, or rain. Raises ScriptError."""
    rain = _RAIN.fullmatch(order)
    if rain:
        return Rain(check_rain(rain[1]), rain[2])
    return Move(parse_span(order))


def parse_span(text: str) -> timedelta:
    """A span such as `7d`, `36h`, `2w` or `1d 12h` (weeks, days, hours, minutes). Raises ScriptError.

    >>> parse_span("1d 12h") == parse_span("36h") == timedelta(hours=36)
    True
    """
    found = _SPAN.findall(text)
    if not found or _SPAN.sub("", text).strip():
        raise ScriptError(f"cannot follow '@ {text}'; write '@ 7d', '@ 36h' or '@ rain 12'")
    hours = sum(float(amount) * _HOURS[unit.lower()] for amount, unit in found)
    return check_span(hours)


def check_span(hours: float) -> timedelta:
    """A span that the clock can move by: 0 hours to ten years. [h] Raises ScriptError."""
    longest_h = LONGEST_MOVE / timedelta(hours=1)
    if not 0 <= hours <= longest_h:
        raise ScriptError(
            f"the clock moves by 0 hours to {LONGEST_MOVE.days} days at a time, not {hours:g} h"
        )
    return timedelta(hours=hours)


def check_rain(amount: str | float) -> float:
    """Rain that can have fallen, 0 to 2000 mm. [mm] Raises ScriptError."""
    try:
        mm = float(amount)
    except ValueError:
        mm = math.nan
    if not 0 <= mm <= MOST_RAIN_MM:
        raise ScriptError(f"rain is 0 to {MOST_RAIN_MM:g} mm, not {amount!r}; write '@ rain 12'")
    return mm
