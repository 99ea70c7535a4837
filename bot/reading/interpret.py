"""Puts together what was found in a text, in the light of the question that is open."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from typing import Any

import msgspec

from bot.reading.beside import (
    from_no_farmer,
    lesson_asked,
    nothing_there,
    stranger,
    told_beside,
    words_after_name,
    words_before_name,
)
from bot.reading.entries import KEYWORDS
from bot.reading.lexicon import Lexicon
from bot.reading.matching import SQUEEZE_OPENS, Matches
from bot.reading.materials import ASSUMED_MANURE, Listed, MaterialReader
from bot.reading.meaning import Kind, MaterialAmount, Meaning
from bot.reading.piles import find_pile
from bot.reading.quantities import QuantityReader
from bot.reading.reports import Report, find_rain, find_report, of_weather
from bot.reading.topics import MEANT_YES, MOST_BESIDE, Topical, find_answer, find_topic, rest_of_words, said
from bot.reading.units import Found
from bot.reading.words import CHOICES

_CODE = re.compile(r"[A-Za-z0-9][A-Za-z0-9-]{1,15}")
_CONTRACT = (
    "topic", "size_m", "materials", "forbidden", "feel", "celsius", "squeeze", "smell", "answer", "rain", "rain_mm",
    "area_m2",
)  # fmt: skip
_TOLD = tuple(key for key in _CONTRACT if key not in ("topic", "answer"))
_ANSWERS: dict[str | None, tuple[str, ...]] = {
    "feel": ("feel", "celsius"), "rain": ("rain", "rain_mm"), "yesno": ("answer",), "size": ("size_m",),
    "area": ("area_m2",), "materials": ("materials", "forbidden"), "squeeze": ("squeeze",), "smell": ("smell",),
}  # fmt: skip
"""The fields that answer a question of each kind."""
_BY_NUMBER = frozenset({"number", "language", "word", "crop", "ago", "animals", *CHOICES})
"""Questions that a bare number answers."""
_OPENS = {"feel": "feel", "celsius": "feel", "smell": "smell"}
_OF_ANSWER: dict[str | None, tuple[str, ...]] = {
    "feel": ("feel",), "squeeze": ("wet", "water", "ready"), "smell": ("smell",), "rain": ("water",), "area": ("spread",),
}  # fmt: skip
"""Topics that an answer of that kind touches anyway; its words are then the answer and no new topic."""


class Interpreter:
    def __init__(self, lexicons: Mapping[str, Lexicon]) -> None:
        self._lexicons = dict(lexicons)
        self._quantities = QuantityReader(lexicons)
        self._materials = MaterialReader(lexicons)

    def meaning(
        self,
        text: str,
        matches: Matches,
        expect: Kind | None,
        options: Collection[str],
        whole: str | None,
    ) -> Meaning:
        if from_no_farmer(matches):
            return Meaning(text=text, ask_again=True, stranger=stranger(matches))
        named = find_pile(text, matches, self._lexicons)
        if named.letter:
            matches = matches.without(named.token)
        found = self._quantities.read(matches, expect)
        topical = find_topic(matches, found, whole, options)
        if topical.topic == "danger" or topical.topic in KEYWORDS:
            return Meaning(text=text, understood=True, topic=topical.topic)
        if topical.span is not None:
            return self._opened(text, topical)
        if expect == "text":
            return self._plain_text(text, topical, matches)
        meaning = self._values(text, matches, found, topical, expect, options)
        return msgspec.structs.replace(meaning, pile=named.letter) if named.letter else meaning

    def _opened(self, text: str, topical: Topical) -> Meaning:
        """TRAINER with a question, JOIN with a code: what follows is taken as written."""
        assert topical.span is not None
        rest = _written_after(text, topical.span.last + 1)
        code = None
        if topical.topic == "join" and rest:
            word = rest.split()[-1].strip(".,!")
            if _CODE.fullmatch(word) and self._is_code(word, alone=len(rest.split()) == 1):
                code = word.upper()
        return Meaning(
            text=text,
            understood=True,
            topic=topical.topic,
            topic_alone=topical.alone,
            rest=rest or None,
            code=code,
        )

    def _is_code(self, word: str, alone: bool) -> bool:
        """With a digit; or the only word after JOIN, and no word that says something."""
        if any(char.isdigit() for char in word):
            return True
        lists = self._lexicons.values()
        small = word.lower()
        says = any(small in each.skip or each.senses_of_words([small]) for each in lists)
        ordinary = any(small in each.known for each in lists)
        return alone and not says and (word.isupper() or not ordinary)

    def _plain_text(self, text: str, topical: Topical, matches: Matches) -> Meaning:
        """An answer in the farmer's own words, such as a name; only a whole keyword is more than that."""
        before = words_before_name(matches, self._lexicons.values())
        after = words_after_name(matches, self._lexicons.values())
        rest = _written_after(text, before)
        topic = topical.topic if topical.alone else None
        return Meaning(
            text=text,
            understood=True,
            topic=topic,
            topic_alone=bool(topic or topical.alone),
            word=topical.word,
            rest=(rest.rsplit(None, 1)[0] if after else rest) if before or after else None,
            stranger=stranger(matches),
        )

    def _values(
        self, text: str, matches: Matches, found: Found, topical: Topical, expect: Kind | None,
        options: Collection[str],
    ) -> Meaning:  # fmt: skip
        rest = rest_of_words(matches, found)
        reports = {name: find_report(name, matches, expect) for name in ("feel", "squeeze", "smell")}
        reports["rain"] = find_rain(matches, found, expect)
        if not self._squeeze_counts(matches, expect, rest):
            reports["squeeze"] = Report()
        if expect != "smell" and not matches.about("smell"):
            reports["smell"] = Report()
        answer, torn = find_answer(matches, rest, expect)
        listed = self._materials.read(matches, found, expect, topical.topic if topical.asked else None)
        if expect == "materials" and options and not listed.materials:
            one = self._materials.among(options, matches, matches.written.main)
            listed = Listed(materials=[MaterialAmount(one)]) if one else listed
        lesson = lesson_asked(matches)
        if lesson and expect != "materials" and not found.quantities:
            listed.materials.clear()  # `is raw manure safe for vegetables` lists none
        if expect == "smell" or (expect in ("feel", "squeeze") and reports[expect].value):
            listed = Listed()  # `like dead fish`, `bone dry`: a likeness
        if expect is None and rest and not listed.materials and _only_named(matches):
            listed.forbidden.clear()  # `meat is dear now`
        if of_weather(matches, expect):
            reports["feel"] = Report()
        if expect == "smell" and reports["smell"].value:
            reports["rain"] = Report()  # `like earth after rain`
        if expect in (None, "topic") and rest.bit_count() > MOST_BESIDE and _beside_the_point(matches):
            reports["feel"] = Report()
        if expect == "materials" and listed.materials:
            reports["squeeze"] = Report()  # `dry banana leaves` is no wet or dry pile
        bare = [each for each in found.left() if not each.units]
        values: dict[str, Any] = {
            "size_m": found.size_m,
            "area_m2": found.area_m2,
            "celsius": found.celsius,
            "rain_mm": found.rain_mm,
            "materials": tuple(listed.materials) or None,
            "forbidden": tuple(listed.forbidden) or None,
            "answer": answer,
            **{name: report.value for name, report in reports.items()},
        }
        self._by_expectation(values, matches, topical, expect, rest)
        values["topic"] = self._topic(topical, values, listed, expect)
        language = _language(matches, rest, expect)
        if language and values["topic"] is None and expect != "language":
            values["topic"] = "language"
        unclear = torn or found.unclear or any(report.unclear for report in reports.values())
        beside = told_beside(matches, found, expect, lesson)
        no = answer == "no" or (not rest and _denies(matches) and not matches.of("answer"))
        if not (values["smell"] or beside["seen"]):
            beside["nothing"] = nothing_there(matches, no, expect)
        return self._finished(text, values, found, listed, topical, bare, language, unclear, expect, beside)

    def _finished(
        self, text: str, values: dict[str, Any], found: Found, listed: Listed, topical: Topical, bare: list[Any],
        language: str | None, unclear: bool, expect: Kind | None, beside: dict[str, Any],
    ) -> Meaning:  # fmt: skip
        told = any(values.get(key) is not None for key in _CONTRACT)
        if expect in _OF_ANSWER or expect in ("size", "materials"):  # `ok` tells no size, and no heat
            told = (
                any(values.get(key) is not None for key in _CONTRACT if key != "answer")
                or values["answer"] == "later"
            )
        number = bare[0].number.value if len(bare) == 1 else None
        other = (
            topical.word
            or language
            or any(beside[key] for key in ("seen", "lesson", "choice", "nothing"))
            or (expect == "crop" and beside["crop"])
            or (expect == "ago" and beside["days_ago"] is not None)
            or (expect in _BY_NUMBER and number is not None)
        )
        measured = expect == "measure" and found.measure
        understood = bool(told or other or measured)
        short = expect == "size" and found.size_m is None and values["topic"] is None and topical.word is None
        missing = short and (found.part_of_size or bool(found.quantities))
        assumed = [*found.assumed, *([ASSUMED_MANURE] if listed.manure else [])]
        return Meaning(
            text=text,
            understood=understood,
            ask_again=bool(not understood or unclear or listed.near or listed.unknown or missing),
            word=topical.word,
            topic_alone=topical.alone and (topical.word is not None or values["topic"] == topical.topic),
            number=number,
            measure=found.measure,
            measure_litres=found.measure_litres,
            language=language,
            unknown=tuple(listed.unknown),
            near=tuple(listed.near),
            assumed=tuple(assumed),
            **beside,
            **values,
        )

    def _squeeze_counts(self, matches: Matches, expect: Kind | None, rest: int) -> bool:
        """`dry` says how a squeezed handful or the pile is, unless it is said of something else."""
        alone = not rest and expect in (None, "topic", "yesno")
        few = rest.bit_count() <= MOST_BESIDE
        return (
            expect == "squeeze"
            or alone
            or matches.about("pile", "stick", "squeeze")
            or (few and matches.about("too"))
        )

    def _by_expectation(
        self, values: dict[str, Any], matches: Matches, topical: Topical, expect: Kind | None, rest: int
    ) -> None:
        """Reads a short answer as an answer to the question that is open."""
        if expect == "rain" and values["rain"] is None:
            if values["answer"] in ("yes", "no"):
                values["rain"] = {"yes": "some", "no": "none"}[values["answer"]]
            elif values["rain_mm"] is not None:
                values["rain"] = "some" if values["rain_mm"] > 0 else "none"
        supposed = any(span.id == "supposing" for span in matches.of("when"))
        only_rain = (
            bool(matches.of("rainword"))
            and not rest
            and topical.topic is None
            and not matches.about("question")
        )
        if values["rain"] is None and only_rain and not supposed:
            values["rain"] = "some"
        if expect not in ("yesno", "rain") and (
            topical.asked or any(values[key] is not None for key in _TOLD)
        ):
            values["answer"] = None  # nobody asked: the `or not` of a question, the `yes` after `cold`
        if expect == "rain" and values["rain"] and values["answer"] == "later":
            values["answer"] = None  # `it drizzled on tuesday`
        done = [s for s in said(matches, "reply") if s.id in MEANT_YES and not matches.negated(s)]
        if values["answer"] is None and (
            (topical.word in MEANT_YES and expect in (None, "topic")) or (expect == "yesno" and done)
        ):
            values["answer"] = "yes"

    def _topic(
        self, topical: Topical, values: dict[str, Any], listed: Listed, expect: Kind | None
    ) -> str | None:
        """The topic asked for; else the one that an unasked report opens; none for an answer to the question."""
        answered = any(values[key] is not None for key in _ANSWERS.get(expect, ()))
        opened = self._opened_by_report(values)
        if expect == "smell" and topical.topic == "smell" and not answered:
            return None  # `it stinks` does not tell of what: the question is asked again
        if topical.asked and not (answered and topical.topic in _OF_ANSWER.get(expect, ())):
            return topical.topic
        if answered or (topical.topic in _OF_ANSWER.get(expect, ()) and not topical.asked):
            return None
        amounts = len(listed.materials) > 1 or any(each.amount is not None for each in listed.materials)
        manure_listed = topical.topic == "manure" and (listed.manure or amounts)
        if topical.topic and not manure_listed and (topical.alone or opened is None):
            return topical.topic
        return opened

    def _opened_by_report(self, values: dict[str, Any]) -> str | None:
        for key, topic in _OPENS.items():
            if values[key] is not None:
                return topic
        return SQUEEZE_OPENS.get(values["squeeze"] or "")


def _beside_the_point(matches: Matches) -> bool:
    """`warm greetings to all`, `i have a cold`: one word of ours among others, and none for pile or stick."""
    told = matches.of("feel")
    alone = len(told) == 1 and told[0].mask.bit_count() == 1
    return alone and not matches.about("pile", "stick", "squeeze")


def _only_named(matches: Matches) -> bool:
    """Whether what must not go in is said in one word, with none for the pile, for having, or for a question."""
    named = matches.of("forbidden", "forbidden_short")
    asked = matches.about("pile", "have", "question")
    return not asked and all(each.mask.bit_count() == 1 for each in named)


def _denies(matches: Matches) -> bool:
    """Whether there is a negation that is no part of a reply (`I do not know`)."""
    replies = matches.of("reply")
    return any(not any(each.mask & ~reply.mask == 0 for reply in replies) for each in matches.of("not"))


def _language(matches: Matches, rest: int, expect: Kind | None) -> str | None:
    named = {span.id for span in matches.of("language")}
    return named.pop() if len(named) == 1 and (expect == "language" or not rest) else None


def _written_after(text: str, words: int) -> str:
    """The text after its first words, as it was written."""
    pattern = rf"(?:[^\w]*[^\s,.:;!?-]+){{{words}}}[\s:,.;!?-]*"
    found = re.match(pattern, text)
    return text[found.end() :].strip() if found else ""
