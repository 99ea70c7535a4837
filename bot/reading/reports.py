"""Reads what a farmer reports of the pile: heat, moisture, smell, rain; and which of two reports counts."""

from __future__ import annotations

import msgspec

from bot.reading.matching import Matches
from bot.reading.meaning import Kind
from bot.reading.spans import Span
from bot.reading.units import Found

_OPPOSITE = {"warm": "cold", "cold": "warm", "none": "some", "some": "none", "heavy": "some"}
"""What a negated report says. `not hot` and `not wet` say nothing sure: they are asked again."""


class Report(msgspec.Struct):
    """A value, or None; `unclear` if the text says two different things or only what is not so."""

    value: str | None = None
    unclear: bool = False


def find_report(category: str, matches: Matches, expect: Kind | None) -> Report:
    """The one value of `feel`, `squeeze`, `smell` or `rain` that a text reports."""
    spans = matches.of(category) or (matches.of(f"{category}_answer") if expect == category else [])
    if not spans:
        return Report()
    plain = [span for span in spans if not matches.negated(span)]
    if plain:
        counted = _that_counts_now(plain, matches)
        values = {span.id for span in counted}
        if values == {"some", "heavy"}:
            values = {"heavy"}
        return Report(values.pop()) if len(values) == 1 else Report(unclear=True)
    turned = {_OPPOSITE.get(span.id) for span in spans}
    value = turned.pop() if len(turned) == 1 else None
    return Report(value, unclear=value is None)


def _that_counts_now(spans: list[Span], matches: Matches) -> list[Span]:
    """Of several values the one after a word for now; not the one after a word for before."""
    if len({span.id for span in spans}) < 2:
        return spans
    now = [span.first for span in matches.of("when") if span.id == "now"]
    past = [span.first for span in matches.of("when") if span.id == "past"]
    after_now = [span for span in spans if any(n < span.first for n in now)]
    if after_now and len({span.id for span in after_now}) == 1:
        return after_now
    if past:
        first_past = min(past)
        following = next((span for span in spans if span.first > first_past), None)
        rest = [span for span in spans if span is not following]
        return rest or spans
    return spans


def find_rain(matches: Matches, found: Found, expect: Kind | None) -> Report:
    """Rain told in words. Asked or expected rain (`will it rain`, `if it rains`) is no report."""
    words = matches.of("rainword")
    supposed = any(span.id == "supposing" for span in matches.of("when"))
    if supposed and (words or matches.of("rain")) and found.rain_mm is None:
        return Report()
    report = find_report("rain", matches, expect)
    if report.value or report.unclear:
        return report
    if any(matches.negated(span) for span in words):
        return Report("none")
    if found.rain_mm is not None:
        return Report("some" if found.rain_mm > 0 else "none")
    return report


def of_weather(matches: Matches, expect: Kind | None) -> bool:
    """Whether heat is told of the day and not of the pile: `it is hot today`, with no word for pile or stick."""
    if expect == "feel" or matches.about("pile", "stick", "squeeze"):
        return False
    return matches.about("weather")
