"""The proofreader finds each kind of fault, and nothing where there is none."""

from __future__ import annotations

from pathlib import Path

import pytest

from bot.advice.vocabulary import vocabulary
from bot.commands.proofread import proofs
from bot.dialogue.schema import Step
from bot.dialogue.vocabulary import Quantity
from bot.proof.faults import Proof, Text
from bot.reading.reader import Reader
from bot.reading.words import load_languages
from bot.wording.speaker import Speaker

LOCALES = Path(__file__).parents[2] / "locales"
SOURCE = "Was the stick cold, warm or hot?"


@pytest.fixture(scope="module")
def parts() -> tuple[dict, Speaker, Reader, object]:  # type: ignore[type-arg]
    lists = load_languages(LOCALES)
    return lists, Speaker(lists, LOCALES), Reader(lists), vocabulary(lists.values())


def problems(parts, text: Text, translated: str | None) -> list[str]:  # type: ignore[no-untyped-def]
    lists, speaker, reader, words = parts
    translations = {} if translated is None else {text.text: translated}
    proof = Proof(lists["sw"], translations, speaker, reader, words)
    speaker._texts["sw"] = translations
    return [fault.problem for fault in proof.faults(text)]


def question(text: str = SOURCE, expect: str = "feel", **answers: str) -> Text:
    return Text("here", text, {}, Step(ask=text, expect=expect, answers=answers))


def test_a_good_question_has_no_fault(parts) -> None:  # type: ignore[no-untyped-def]
    assert problems(parts, question(), "Kijiti kilikuwa baridi, vuguvugu au moto?") == []


def test_a_missing_translation(parts) -> None:  # type: ignore[no-untyped-def]
    assert problems(parts, question(), None) == ["is not translated"]


def test_a_question_that_hides_an_answer(parts) -> None:  # type: ignore[no-untyped-def]
    assert problems(parts, question(), "Kijiti kilikuwa baridi au moto?") == [
        "does not tell the answer 'warm'"
    ]
    numbered = question("How does it look? 1 all. 2 some. 3 none", "pieces")
    assert problems(parts, numbered, "Inaonekanaje? 1 yote. 2 baadhi. 3 hakuna") == []
    assert problems(parts, numbered, "Inaonekanaje? 1 yote. 2 baadhi.") != []


def test_a_placeholder_lost_or_made_up(parts) -> None:  # type: ignore[no-untyped-def]
    text = Text("here", "Week {care.week}.", {"care.week": Quantity(kind="number")})
    assert "placeholders" in problems(parts, text, "Wiki.")[0]
    assert "placeholders" in problems(parts, text, "Wiki {care.wiki}.")[0]
    assert problems(parts, text, "Wiki ya {care.week}.") == []


def test_a_letter_that_makes_a_long_message_dear(parts) -> None:  # type: ignore[no-untyped-def]
    found = problems(parts, Text("here", "x", {}), "ŋ" + "a" * 80)
    assert found[0] == "costs more for the letters 'ŋ'"


def test_a_message_over_its_budget(parts) -> None:  # type: ignore[no-untyped-def]
    assert problems(parts, Text("here", "x", {}), "a" * 160) == []
    assert problems(parts, Text("here", "x", {}), "a" * 161)[0].startswith("takes 2 segments of 1")


def test_values_are_the_longest(parts) -> None:  # type: ignore[no-untyped-def]
    text = Text("here", "Pour {care.water}.", {"care.water": Quantity(kind="amount")})
    assert problems(parts, text, "{care.water}" + "a" * 145) == []
    assert "segments" in problems(parts, text, "{care.water}" + "a" * 155)[0]


def test_an_unclosed_direction_of_writing(parts) -> None:  # type: ignore[no-untyped-def]
    assert "direction" in problems(parts, Text("here", "x", {}), "\u2067habari")[-1]


def test_a_word_to_write_that_nobody_would_understand(parts) -> None:  # type: ignore[no-untyped-def]
    assert problems(parts, Text("here", "x", {}), "Andika PANGA.") == []
    assert "ZIBUKO" in problems(parts, Text("here", "x", {}), "Andika ZIBUKO.")[0]


def test_the_source_texts_are_without_fault() -> None:
    made, texts = proofs()
    source = next(proof for proof in made if proof.code == "en")
    assert [fault for text in texts for fault in source.faults(text)] == [] and len(texts) > 200
