"""`python -m bot move OLD NEW`: give a farmer another phone number, with piles, reminders and questions."""

from __future__ import annotations

import argparse
from collections.abc import Sequence

from bot import Bot, StoreError
from bot.commands.opening import CannotOpen, config_option, fail, opened
from bot.gateways import BadPhone, to_e164
from bot.people import known_people


class Unclear(Exception):
    """It cannot be told which farmer is meant."""


def main(argv: Sequence[str]) -> int:
    """Returns 0, or 2 with a line of explanation; then nothing was changed."""
    parser = argparse.ArgumentParser(prog="python -m bot move", description=__doc__)
    parser.add_argument("old", help="the phone number until now, such as +447700900001")
    parser.add_argument("new", help="the phone number from now on")
    parser.add_argument("--name", help="who of those who share the old phone")
    chosen = config_option(parser).parse_args(argv)
    try:
        with opened(chosen.config) as bot:
            region = bot.config.default_region
            old, new = (to_e164(phone, region) for phone in (chosen.old, chosen.new))
            line_id, farmer_no = _farmer(bot, old, chosen.name)
            bot.store.moving.move(line_id, farmer_no, new, bot.clock.now())
    except (CannotOpen, BadPhone, Unclear, StoreError) as exc:
        return fail(exc)
    print(f"Moved from {old} to {new}. Close the question about it with: python -m bot answer")
    return 0


def _farmer(bot: Bot, phone: str, name: str | None) -> tuple[int, int]:
    line = bot.store.lines.by_phone(phone)
    people = known_people(bot.store.farmers.of_line(line.line_id)) if line is not None else []
    names = ", ".join(str(person.name) for person in people)
    if name is not None:
        people = [p for p in people if (p.name or "").casefold() == name.casefold()]
    if len(people) != 1:
        known = f"known there: {names}" if names else "nobody is known there"
        raise Unclear(f"{phone}: say with --name who moves; {known}")
    return people[0].line_id, people[0].farmer_no
