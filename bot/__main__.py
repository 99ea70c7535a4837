"""`python -m bot COMMAND`: see COMMANDS."""

from __future__ import annotations

import sys
from importlib import import_module

COMMANDS = {
    "serve": "answer the gateways of a configuration file",
    "read": "show what the reader understands of each line of standard input",
    "words": "show how far each language is: messages, words, review",
    "unread": "show what was not understood, by kind",
    "teach": "teach the reader a word",
    "taught": "write the taught words as YAML for the next release",
    "recipe": "plan a pile: amounts, C:N, moisture, water, verdict",
    "verify": "check the calculation core against published values",
    "plots": "draw the plots of docs/science.md",
    "proofread": "read every message in every language with its longest values, and name the faults",
    "questions": "what waits for the trainer",
    "answer": "send a trainer's answer to a farmer",
    "explain": "why a message was sent",
    "move": "give a farmer another phone number",
    "enrol": "enrol farmers from a CSV file",
    "rain": "tell of rain that fell at a place, or read a weather file",
    "catalogs": "bring the translation catalogs up to date with the dialogue files",
}


def main(argv: list[str]) -> int:
    if not argv or argv[0] not in COMMANDS:
        print("usage: python -m bot COMMAND ...", file=sys.stderr)
        for name, what in COMMANDS.items():
            print(f"  {name:9} {what}", file=sys.stderr)
        return 2
    # Imported only when called for, so that one command does not wait for another's libraries.
    return int(import_module(f"bot.commands.{argv[0]}").main(argv[1:]))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
