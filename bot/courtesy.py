"""Who is answered at all, and in which language a farmer may want to go on."""

from __future__ import annotations

import msgspec

from bot.dialogue.state import Conversation
from bot.dialogue.turn import Saying
from bot.reading.meaning import Meaning
from bot.world import FarmerWorld

MACHINES = ("advert", "auto_reply")
MISSES_BEFORE_SILENCE = 6
"""Messages in a row that nobody understood: another machine answers us, and one of the two must stop."""


def is_machine(meaning: Meaning, talk: Conversation) -> bool:
    """Whether no person seems to have written: an advert, an automatic reply, or the end of a talk that leads nowhere."""
    if meaning.stranger in MACHINES:
        return not _wishes(meaning)
    return talk.missed_in_a_row >= MISSES_BEFORE_SILENCE and not meaning.understood


def _wishes(meaning: Meaning) -> bool:
    return meaning.understood and meaning.topic is not None


def calmly(meaning: Meaning) -> Meaning:
    """An insult without anything else gets what HELP says: who we are, how to reach a person, how to end it."""
    if meaning.stranger != "insult" or _wishes(meaning):
        return meaning
    return msgspec.structs.replace(meaning, topic="help", understood=True, ask_again=False)


def offered_language(meaning: Meaning, world: FarmerWorld, text: str) -> list[Saying]:
    """Once for each language: a farmer who writes in another than the chosen one is asked, not switched.

    text : the common text, to be worded in that language.
    """
    other, facts = meaning.written_in, world.farmer.facts
    if other is None or world.farmer.language in (None, other) or other in facts.get("offered", ()):
        return []
    world.note("offered", [*facts.get("offered", ()), other])
    return [Saying(text=text, language=other, dialogue="common", step="other_language")]
