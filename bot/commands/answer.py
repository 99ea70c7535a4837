"""`python -m bot answer NUMBER "text"`: send the trainer's answer to a question of a farmer."""

from __future__ import annotations

import argparse
from collections.abc import Sequence

from bot import StoreError
from bot.commands.opening import CannotOpen, config_option, fail, opened
from bot.trainer import CannotAnswer, Trainer
from bot.wording.segments import count

MOST_SEGMENTS = 4


def main(argv: Sequence[str]) -> int:
    """Returns 0, or 2 with a line of explanation when nothing was sent."""
    parser = argparse.ArgumentParser(prog="python -m bot answer", description=__doc__)
    parser.add_argument("number", help="of the question, as `questions` lists it")
    parser.add_argument("text", help="the answer, as the farmer will read it")
    chosen = config_option(parser).parse_args(argv)
    text = " ".join(chosen.text.split())
    if not text:
        return fail("the answer is empty")
    if (parts := count(text).segments) > MOST_SEGMENTS:
        return fail(f"the answer would be {parts} SMS long; write at most {MOST_SEGMENTS}")
    try:
        with opened(chosen.config) as bot:
            leaves = Trainer(bot.turns).answer(chosen.number, text, bot.clock.now())
    except (CannotOpen, CannotAnswer, StoreError) as exc:
        return fail(exc)
    print(f"The answer is queued; it leaves from {leaves:%Y-%m-%d %H:%M} UTC on.")
    return 0
