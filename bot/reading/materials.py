"""Finds the materials of a list with their amounts, what must not go in, and what was not recognised."""

from __future__ import annotations

from collections.abc import Collection, Mapping

import msgspec

from bot.reading.lexicon import Lexicon
from bot.reading.matching import Matches
from bot.reading.meaning import Kind, MaterialAmount
from bot.reading.spans import Span
from bot.reading.tokens import Token
from bot.reading.units import Found, Quantity

_ENDS = frozenset(",;\n+&./|?!:")
_NAMES = ("material", "short", "manure", "unclear", "forbidden", "forbidden_short")
ASSUMED_MANURE = "cattle_manure"


class Listed(msgspec.Struct):
    """What a text lists. `manure`: manure without an animal counted as a material."""

    materials: list[MaterialAmount] = []
    forbidden: list[str] = []
    unknown: list[str] = []
    near: list[str] = []
    manure: bool = False


class _Segment(msgspec.Struct):
    """The part of a list between two separators."""

    names: list[Span] = []
    events: list[Span | Quantity] = []
    first: int = 0
    last: int = -1


class MaterialReader:
    def __init__(self, lexicons: Mapping[str, Lexicon]) -> None:
        self._lexicons = dict(lexicons)

    def read(self, matches: Matches, found: Found, expect: Kind | None, topic: str | None) -> Listed:
        names = [span for span in matches.of(*_NAMES) if not matches.negated(span)]
        names.sort(key=lambda each: each.first)
        amounts = [each for each in found.left() if not each.units or "measure" in each.units]
        names = self._that_count(names, matches, amounts, expect, topic)
        segments = _segments(names, amounts, matches)
        names = _without_owners(names, segments)
        names = _without_named(names, segments)
        listed = Listed()
        amount_of = _paired(segments, found)
        _measured_alike(names, amount_of, matches)
        for span in names:
            self._take(span, amount_of.get(span.mask), listed)
        if (names or not topic) if expect == "materials" else (names and not topic):
            self._unrecognised(segments, matches, listed, whole=expect == "materials")
        return listed

    def among(self, offered: Collection[str], matches: Matches, main: str) -> str | None:
        """Of the materials that a question offers, the one that a word of the answer belongs to and to no other of
        them: `dry`, where dry grass or green grass was asked."""
        lexicon = self._lexicons.get(main)
        if lexicon is None:
            return None
        fits: set[str] = set()
        for token in matches.tokens:
            word = lexicon.find(token.text) or lexicon.plain(token.text)
            senses = [lexicon.senses[number] for number in lexicon.meant.get(word, ())]
            held = {sense.id for sense in senses if sense.category == "material" and sense.id in offered}
            fits |= held if len(held) == 1 else set()
        return fits.pop() if len(fits) == 1 else None

    def _that_count(
        self,
        names: list[Span],
        matches: Matches,
        amounts: list[Quantity],
        expect: Kind | None,
        topic: str | None,
    ) -> list[Span]:
        """Leaves out short names where materials are not the subject, and manure where it is the topic."""
        sure = [span for span in names if span.category == "material"]
        manure = [span for span in names if span.category == "manure"]
        short = [span for span in names if span.category in ("short", "forbidden_short")]
        measured = any("measure" in each.units for each in amounts)
        subject = expect == "materials" or bool(sure) or matches.about("have") or measured
        as_material = subject and topic in (None, "plan")
        counts = {"material", "forbidden"}
        if expect == "materials" or matches.about("have") or measured or manure or topic == "manure":
            counts |= {"short", "forbidden_short"}
        if subject or (expect is None and len(names) > 1):
            counts.add("unclear")
        if as_material and not short and (expect in (None, "topic", "materials") or measured):
            counts.add("manure")
        return [span for span in names if span.category in counts]

    def _take(self, span: Span, amount: Quantity | None, listed: Listed) -> None:
        if span.category in ("forbidden", "forbidden_short"):
            if span.id not in listed.forbidden:
                listed.forbidden.append(span.id)
        elif span.category == "unclear":
            listed.near += [each for each in span.id.split() if each not in listed.near]
        else:
            material = span.id or ASSUMED_MANURE
            if not span.id:
                if any(each.material.endswith("_manure") for each in listed.materials) and amount is None:
                    return
                listed.manure = True
            unit = amount.units.get("measure") if amount else None
            value = amount.number.value if amount else None
            new = MaterialAmount(material, value, unit.id if unit else None)
            same = [each for each in listed.materials if each.material == material]
            if not same:
                listed.materials.append(new)
            elif same[0].amount is None and new.amount is not None:
                listed.materials[listed.materials.index(same[0])] = new

    def _unrecognised(self, segments: list[_Segment], matches: Matches, listed: Listed, whole: bool) -> None:
        plain = 0
        covered = 0
        for span in matches.spans:
            if span.category == "plain":
                plain |= span.mask
            elif span.category != "about" or not span.mask & matches.repaired:
                covered |= span.mask
        for segment in segments:
            if segment.names:
                listed.unknown += _odd_measures(segment, matches)
                continue
            if not whole and not segment.events:
                continue
            words = []
            for i in range(segment.first, segment.last + 1):
                near = self._near(i, matches)
                listed.near += [each for each in near if each not in listed.near]
                odd = (matches.unknown | matches.meant | plain) >> i & 1 and not matches.skipped >> i & 1
                if odd and not covered >> i & 1 and not near and matches.tokens[i].kind == "word":
                    words.append(matches.tokens[i].text)
            if words:
                listed.unknown.append(" ".join(words)[:60])

    def _near(self, i: int, matches: Matches) -> list[str]:
        """The materials that a misspelt word could be."""
        materials = {
            name
            for guess in matches.unclear.get(i, ())
            for sense in self._lexicons[guess.code].meaning(guess.word)
            if sense.category in _NAMES[:4]
            for name in (sense.id or ASSUMED_MANURE).split()
        }
        return sorted(materials)


def _measured_alike(names: list[Span], amount_of: dict[int, Quantity], matches: Matches) -> None:
    """`10 bags of straw and 4 of dung`: the measure is said once. A word without weight stands after the bare number."""
    measured: Quantity | None = None
    for span in names:
        amount = amount_of.get(span.mask)
        if amount is None:
            continue
        between = range(amount.last + 1, span.first)
        if amount.units:
            measured = amount
        elif measured and len(between) > 0 and all(matches.skipped >> i & 1 for i in between):
            amount.units = dict(measured.units)


def _odd_measures(segment: _Segment, matches: Matches) -> list[str]:
    """Unknown words right after a bare number: `3 bagss` must not become 3 of nothing."""
    bare = [each for each in segment.events if isinstance(each, Quantity) and not each.units]
    after = [each.last + 1 for each in bare if each.last < segment.last]
    return [matches.tokens[i].text[:60] for i in after if matches.unknown >> i & 1]


def _without_owners(names: list[Span], segments: list[_Segment]) -> list[Span]:
    """Drops the animal of `chicken bones`: it is not its manure."""
    owners = [
        span
        for segment in segments
        for span in segment.names
        if span.category == "short" and any(each.category == "forbidden" for each in segment.names)
    ]
    return [span for span in names if span not in owners]


def _without_named(names: list[Span], segments: list[_Segment]) -> list[Span]:
    """Drops an unclear word beside a clear one that it could be: `stalks, maize`."""
    settled: list[Span] = []
    for segment in segments:
        clear = {span.id for span in segment.names if span.category in ("material", "short")}
        settled += [s for s in segment.names if s.category == "unclear" and clear & set(s.id.split())]
    return [span for span in names if span not in settled]


def _segments(names: list[Span], amounts: list[Quantity], matches: Matches) -> list[_Segment]:
    inside = 0
    for span in names:
        inside |= ((1 << (span.last + 1)) - 1) ^ ((1 << span.first) - 1)
    in_amount = {i for each in amounts for i in range(each.first, each.last + 1)}
    ands = {span.first for span in matches.of("and")}
    at: dict[int, Span | Quantity] = {span.first: span for span in names}
    at.update({each.first: each for each in amounts if each.first not in at})
    segments = [_Segment()]
    for i, token in enumerate(matches.tokens):
        mark = token.kind == "mark" and (token.text in _ENDS or _is_bullet(matches.tokens, i))
        if i in at:
            segments[-1].events.append(at[i])
            if isinstance(at[i], Span):
                segments[-1].names.append(at[i])  # type: ignore[arg-type]
        if (mark or i in ands) and not inside >> i & 1 and i not in in_amount:
            segments.append(_Segment(first=i + 1, last=i))
        else:
            segments[-1].last = i
    return [segment for segment in segments if segment.last >= segment.first]


def _is_bullet(tokens: list[Token], i: int) -> bool:
    """A dash with space on both sides, as between the items of `manure: 4 buckets - grass: 10 bundles`."""
    apart = not tokens[i].stuck and i + 1 < len(tokens) and not tokens[i + 1].stuck
    return tokens[i].text == "-" and apart


def _paired(segments: list[_Segment], found: Found) -> dict[int, Quantity]:
    """The amount of each name. In a part that begins with an amount, amounts stand before their names."""
    pairs: dict[int, Quantity] = {}
    waiting: Quantity | None = None
    previous: Span | None = None
    for segment in segments:
        events = segment.events
        if not segment.names:
            if len(events) == 1 and isinstance(events[0], Quantity):
                if previous is not None and previous.mask not in pairs:
                    pairs[previous.mask] = events[0]
                elif previous is None:
                    waiting = events[0]
            continue
        before = isinstance(events[0], Quantity)
        _pair_part(events if before else events[::-1], pairs)
        if waiting and len(segment.names) == 1:
            pairs.setdefault(segment.names[0].mask, waiting)
        waiting, previous = None, segment.names[-1]
    found.use(list(pairs.values()))
    return pairs


def _pair_part(events: list[Span | Quantity], pairs: dict[int, Quantity]) -> None:
    amount: Quantity | None = None
    for event in events:
        if isinstance(event, Quantity):
            amount = event
        elif amount:
            pairs[event.mask] = amount
            amount = None
