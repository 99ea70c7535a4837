"""`python -m bot proofread`: every message in every language with its worst values; 1 if one is faulty."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path

from bot.advice.vocabulary import vocabulary
from bot.dialogue.library import read_library
from bot.proof.faults import Fault, Proof, Text, all_texts
from bot.reading.reader import Reader
from bot.reading.words import load_languages
from bot.wording.catalogs import SOURCE, catalog_path, read_texts
from bot.wording.speaker import Speaker

ROOT = Path(__file__).parents[2]


def proofs(root: Path = ROOT) -> tuple[list[Proof], list[Text]]:
    """A proof for each language, and all texts. Raises BadFile."""
    lists = load_languages(root / "locales")
    words = vocabulary(lists.values())
    library = read_library(root / "dialogues", words)
    speaker, reader = Speaker(lists, root / "locales"), Reader(lists)
    made = [
        Proof(
            each,
            {} if code == SOURCE else read_texts(catalog_path(root / "locales", code)),
            speaker,
            reader,
            words,
        )
        for code, each in lists.items()
    ]
    return made, list(all_texts(library, words))


def main(argv: Sequence[str]) -> int:
    parser = argparse.ArgumentParser(prog="python -m bot proofread", description=__doc__)
    parser.add_argument("--lang", help="only this language")
    parser.add_argument("--show", action="store_true", help="print every message with its segments")
    options = parser.parse_args(argv)
    made, texts = proofs()
    faults: list[Fault] = []
    for proof in made:
        if options.lang in (None, proof.code):
            found = [fault for text in texts for fault in proof.faults(text)]
            faults += found
            _summary(proof, texts, len(found), options.show)
    for fault in faults:
        print(f"{fault.language}: {fault.where}: {fault.problem}")
    return 1 if faults else 0


def _summary(proof: Proof, texts: list[Text], faults: int, show: bool) -> None:
    costs = [(text, proof.cost(text)) for text in texts]
    if show:
        for text, parts in costs:
            print(f"{proof.code} [{parts.segments}] {text.where}: {proof.rendered(text)}")
    total = sum(parts.segments for _, parts in costs)
    print(f"{proof.code}: {len(texts)} texts, {total} segments at worst, {faults} faults")
