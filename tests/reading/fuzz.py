"""Texts that nobody would send: `python -m tests.reading.fuzz [HOW_MANY] [SEED]` reads 200,000 of them.

Words of all lists in any order and any mixture of languages, words with letters wrong, left out or doubled, numbers in
every writing, characters of every script. Each must be read without an exception, in at most 20 ms of processor time,
and to finite numbers.
"""

from __future__ import annotations

import math
import random
import sys
import time
from collections.abc import Iterator, Sequence
from typing import Any

import msgspec

from bot.commands.read import LOCALES
from bot.reading.meaning import COMMAND_LINE_KINDS, Kind, Meaning
from bot.reading.reader import Reader
from bot.reading.words import load_languages

SLOWEST_S = 0.02
KINDS: Sequence[Any] = (
    None, *COMMAND_LINE_KINDS, "text", "number", "measure", "language", "word", "animals", "crop", "ago", "look",
)  # fmt: skip
ODD = (
    "1e999", "1,000,000", "٣٫٥", "२", "½", "-3", "10-12", "1e308", "2x2x2", "2*2", "3bkts", "'", '"', "\u202e", "\u200b",
    "°", "\x00",
    "😀", "ЅTOP", "=1+1", "';--", "<b>", "%s", "\ud800", "ﷺ", "ａ", "\n", "B:", "A", ",", ".", "...", "?", "(", "/", "&",
)  # fmt: skip
_ANY = (range(32, 127), range(0xA0, 0x250), range(0x600, 0x700), range(0x900, 0x980), range(0x2000, 0x2070))


def vocabulary(reader: Reader) -> list[str]:
    """Every word that some list knows."""
    return sorted({word for lexicon in reader._lexicons.values() for word in lexicon.known})


def texts(words: Sequence[str], chance: random.Random) -> Iterator[str]:
    while True:
        length = chance.choice((1, 2, 3, 5, 8, 13, 40, 200))
        between = chance.choice((" ", " ", " ", "", ", ", "\n"))
        yield between.join(_piece(words, chance) for _ in range(chance.randint(1, length)))


def _piece(words: Sequence[str], chance: random.Random) -> str:
    kind = chance.random()
    if kind < 0.55:
        return chance.choice(words)
    if kind < 0.75:
        return _broken(chance.choice(words), chance)
    if kind < 0.85:
        return chance.choice(ODD)
    if kind < 0.95:
        return str(
            chance.choice(
                (chance.randint(0, 60), round(chance.uniform(0, 9), 1), 10 ** chance.randint(0, 30))
            )
        )
    return "".join(chr(chance.choice(chance.choice(_ANY))) for _ in range(chance.randint(1, 12)))


def _broken(word: str, chance: random.Random) -> str:
    place = chance.randrange(len(word))
    cut = chance.choice((0, 1, 2))
    return word[:place] + chance.choice(("", chance.choice("aeiouxzkh"), word[place])) + word[place + cut :]


def numbers_of(meaning: Meaning) -> list[float]:
    plain = msgspec.to_builtins(meaning)
    found = [
        plain[name] for name in ("celsius", "rain_mm", "area_m2", "number", "measure_litres", "days_ago")
    ]
    found += list(plain["size_m"] or ()) + [each["amount"] for each in plain["materials"] or ()]
    return [each for each in found if each is not None]


def check(reader: Reader, text: str, language: str, kind: Kind | None) -> float:
    """Reads one text; the processor time that it took. [s] Raises AssertionError for a meaning that cannot be."""
    start = time.process_time()
    meaning = reader.read(text, language, kind, ("done", "back"))
    taken = time.process_time() - start
    assert meaning.text == text
    assert all(math.isfinite(each) for each in numbers_of(meaning)), (text, meaning)
    assert meaning.understood or meaning.ask_again or meaning.stranger, (text, meaning)
    return taken


def run(reader: Reader, how_many: int, seed: int) -> list[float]:
    """Processor times of many texts. [s] The same seed gives the same texts. A slow one is read again, for another
    process may have been at work."""
    chance = random.Random(seed)
    languages, source = sorted(reader.languages), texts(vocabulary(reader), chance)
    times = []
    for _ in range(how_many):
        text, language, kind = next(source), chance.choice(languages), chance.choice(KINDS)
        taken = check(reader, text, language, kind)
        if taken > SLOWEST_S:
            taken = min(taken, *(check(reader, text, language, kind) for _ in range(2)))
        assert taken <= SLOWEST_S, f"{taken * 1e3:.1f} ms for {text!r} ({language}, {kind})"
        times.append(taken)
    return times


def main(argv: Sequence[str]) -> None:
    how_many, seed = (int(argv[0]) if argv else 200_000), (int(argv[1]) if len(argv) > 1 else 1)
    reader = Reader(load_languages(LOCALES))
    times = sorted(run(reader, how_many, seed))
    middle, high = times[len(times) // 2], times[len(times) * 99 // 100]
    print(
        f"{how_many} texts, languages {', '.join(reader.languages)}: no exception; median {middle * 1e3:.2f} ms,"
        f" 99 of 100 under {high * 1e3:.2f} ms, slowest {times[-1] * 1e3:.1f} ms of processor time"
    )


if __name__ == "__main__":
    main(sys.argv[1:])
