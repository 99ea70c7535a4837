"""How often a farmer who does not answer is still reminded: as set, then every two weeks, then a last time."""

from __future__ import annotations

from datetime import datetime, time
from zoneinfo import ZoneInfo

from bot.dialogue.state import Conversation
from bot.reminders.timing import morning_in

PARKED_DAYS = 7
"""After the last reminder nothing is sent; what is set is looked at again so often, until the farmer writes."""
WEEKLY_UNANSWERED, TWO_WEEKLY_UNANSWERED, TWO_WEEKS = 3, 1, 14
"""So many unanswered reminders come as they are set, so many two weeks apart, then one last."""


def postponed(
    talk: Conversation, letter: str | None, now: datetime, zone: ZoneInfo, opens: time
) -> datetime | None:
    """A later morning for a reminder about a pile, or None when it may come now.

    opens : local time at which reminders begin.
    """
    if talk.away:
        return morning_in(PARKED_DAYS, now, zone, opens)
    last = talk.unanswered_at.get(letter or "")
    if talk.unanswered.get(letter or "", 0) < WEEKLY_UNANSWERED or last is None:
        return None
    due = morning_in(TWO_WEEKS, last, zone, opens)
    return due if due > now and last <= now else None


def is_last(talk: Conversation, letter: str | None) -> bool:
    """Whether the next reminder is the last, and says so."""
    return talk.unanswered.get(letter or "", 0) >= WEEKLY_UNANSWERED + TWO_WEEKLY_UNANSWERED


def count(talk: Conversation, letter: str | None, now: datetime) -> None:
    """Note that a reminder was sent; the farmer's next message ends the count."""
    talk.unanswered = {**talk.unanswered, letter or "": talk.unanswered.get(letter or "", 0) + 1}
    talk.unanswered_at = {**talk.unanswered_at, letter or "": now}


def answered(talk: Conversation) -> None:
    """The farmer has written."""
    talk.unanswered, talk.unanswered_at, talk.away = {}, {}, False
