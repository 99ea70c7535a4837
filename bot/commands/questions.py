"""`python -m bot questions`: what waits for the trainer, danger first, then what has waited longest."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from typing import Any

from bot import Bot, StoreError
from bot.commands.opening import CannotOpen, config_option, fail, opened
from bot.store import Question
from bot.trainer import question_number

KINDS = {
    "danger": "DANGER, look at once",
    "question": "asks",
    "alert": "a pile needs a look",
    "number": "has a new number",
    "away": "has not answered for weeks, reminders have ended",
}


def main(argv: Sequence[str]) -> int:
    """Returns 0, or 2 with a line of explanation when the database cannot be used."""
    parser = argparse.ArgumentParser(prog="python -m bot questions", description=__doc__)
    chosen = config_option(parser).parse_args(argv)
    try:
        with opened(chosen.config) as bot:
            waiting = bot.store.questions.open()
            for question in waiting:
                print("\n".join(_lines(bot, question)))
            print(f'{len(waiting)} waiting. Answer with: python -m bot answer NUMBER "text"')
    except (CannotOpen, StoreError) as exc:
        return fail(exc)
    return 0


def _lines(bot: Bot, question: Question) -> Iterator[str]:
    farmer = bot.store.farmers.get(question.line_id, question.farmer_no)
    line = bot.store.lines.get(question.line_id)
    name = (farmer.name if farmer else None) or "somebody who has not joined"
    place = f", {farmer.place}" if farmer and farmer.place else ""
    number, since = question_number(question), f"{question.at:%Y-%m-%d %H:%M} UTC"
    yield f"{number:6} {since}  {name}{place}, {line.phone if line else 'no phone'}: {KINDS[question.kind]}"
    for entry in bot.store.questions.thread(question.line_id, question.question_no):
        if entry.text:
            yield f"       {entry.who}: {entry.text}"
    if question.snapshot:
        yield f"       {_pile(question.snapshot)}"


def _pile(snapshot: dict[str, Any]) -> str:
    """The pile as it was then, in one line."""
    facts, told = snapshot.get("facts", {}), []
    if size := facts.get("size"):
        told.append("x".join(f"{side:g}" for side in size) + " m")
    if built := facts.get("built_on"):
        told.append(f"built on {built}")
    told += [f"{r['kind']} {r['value'] or ''} on {r['at'][:10]}" for r in snapshot.get("readings", [])[:4]]
    return f"pile {snapshot.get('letter')}, {snapshot.get('stage')}: {', '.join(told) or 'nothing more is known'}"
