"""Everything that dialogue files may name, put together: see docs/dialogues.md."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import msgspec

from bot.advice.computations import CAUSES, COMPUTATIONS, quantity
from bot.advice.kinds import HEATS, KINDS
from bot.compost import CompostError
from bot.dialogue.vocabulary import Quantity, Vocabulary
from bot.reading.words import LESSONS, SIGHTS, TOPICS, WordList

ACTIONS = frozenset(
    "new_farmer consent forget_me stop_line start_line plan_pile keep_reading keep_turned keep_rain "
    "ask_trainer alert_trainer alarm_trainer tell_new_number solve this_pile this_person undo_report erase_me".split()
)


GIVEN: Mapping[str, Quantity] = {
    "bot.today": quantity("date"),
    "bot.languages": quantity("languages"),
    "bot.joined": quantity("term", "yes", "no"),
    "bot.language": quantity("language"),
    "bot.told": quantity("term", "yes", "no"),
    "bot.latitude": quantity("number"),
    "bot.rain_mm": quantity("number", optional=True),
    "bot.turned_on": quantity("date", optional=True),
    "bot.pile": quantity("text", optional=True),
    "bot.squeeze": quantity("squeeze", "dry", "damp", "wet", optional=True),
    "bot.squeeze_now": quantity("squeeze", "dry", "damp", "wet", optional=True),
    "bot.smell_now": quantity("smell", "earthy", "ammonia", "rotten", "sour", optional=True),
    "bot.was_hot": quantity("yesno", "yes", "no"),
    "bot.next_on": quantity("date", optional=True),
    "bot.piles": quantity("words"),
    "bot.people": quantity("words"),
    "bot.last_report": quantity("text", optional=True),
    "bot.last_cause": quantity("term", *CAUSES, optional=True),
    "bot.turns": quantity("number"),
    "bot.heats": quantity("series"),
    "bot.history": quantity("series"),
    "bot.turned_days": quantity("series"),
    "message.size_m": quantity("size", optional=True),
    "message.materials": quantity("materials", optional=True),
    "message.measure": quantity("measure", optional=True),
    "message.amounts": quantity("term", "yes", "no"),
    "message.rest": quantity("text", optional=True),
    "message.group": quantity("term", "ours", "strange", optional=True),
    "message.code": quantity("text", optional=True),
    "message.heat": quantity("term", *HEATS, optional=True),
    "message.feel": quantity("feel", optional=True),
    "message.celsius": quantity("number", optional=True),
    "message.squeeze": quantity("squeeze", "dry", "damp", "wet", optional=True),
    "message.smell": quantity("smell", "earthy", "ammonia", "rotten", "sour", optional=True),
    "message.rain": quantity("rain", optional=True),
    "message.rain_mm": quantity("number", optional=True),
    "message.forbidden": quantity("terms", optional=True),
    "message.seen": quantity("term", *SIGHTS, optional=True),
    "message.lesson": quantity("term", *LESSONS, optional=True),
    "message.crop": quantity("crop", optional=True),
    "message.area_m2": quantity("area", optional=True),
    "message.word": quantity("term", optional=True),
    "message.days_ago": quantity("number", optional=True),
}


def vocabulary(lists: Iterable[WordList]) -> Vocabulary:
    """The vocabulary for these languages: a dialogue may offer a reply word that every language knows."""
    lists = list(lists)
    words = [set(words.replies) for words in lists]
    language = msgspec.structs.replace(KINDS["language"], values=tuple(words.code for words in lists))
    common = frozenset(set.intersection(*words)) if words else frozenset()
    return Vocabulary(
        kinds={**KINDS, "language": language},
        computations={c.name: c for c in COMPUTATIONS},
        actions=ACTIONS,
        topics=frozenset(TOPICS),
        reply_words=common | {"yes", "no", "later"},
        given=GIVEN,
        refusals=(CompostError,),
    )
