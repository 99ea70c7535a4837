"""Every text in every language: translated, with the same placeholders, in the cheap alphabet."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from bot.advice.vocabulary import vocabulary
from bot.datafile import BadFile
from bot.dialogue.checks import PLACEHOLDER
from bot.dialogue.library import read_library
from bot.dialogue.turn import Filled, Saying
from bot.reading.words import load_languages
from bot.wording.catalogs import SOURCE, Texts, catalog_path, extract, read_texts, update
from bot.wording.folding import Folder
from bot.wording.segments import count, septets
from bot.wording.speaker import Speaker

ROOT = Path(__file__).parents[2]
LOCALES, DIALOGUES = ROOT / "locales", ROOT / "dialogues"
LISTS = load_languages(LOCALES)
SOURCES = {text: (file, line) for file, line, text, _ in extract(DIALOGUES)}
CATALOGS: dict[str, Texts] = {
    code: {text: text for text in SOURCES} if code == SOURCE else read_texts(catalog_path(LOCALES, code))
    for code in LISTS
}
EVERY = [(code, text) for code in CATALOGS for text in SOURCES]
FOLDERS = {code: Folder(words.plain_letters) for code, words in LISTS.items()}
CHEAP = sorted(
    code for code, words in LISTS.items() if count(FOLDERS[code].folded(words.name)).encoding == "GSM-7"
)
"""Languages that the GSM alphabet can write."""


def where(text: str) -> str:
    file, line = SOURCES[text]
    return f"{file}:{line}: {text}"


@pytest.mark.parametrize("code", sorted(CATALOGS))
def test_no_translation_is_missing(code: str) -> None:
    missing = [where(text) for text in SOURCES if not CATALOGS[code].get(text, "").strip()]
    assert not missing, f"{code} lacks:\n" + "\n".join(missing)


@pytest.mark.parametrize("code", sorted(CATALOGS))
def test_a_translation_names_the_same_facts_as_its_source(code: str) -> None:
    differs = [
        f"{where(text)} -> {CATALOGS[code][text]}"
        for text in SOURCES
        if text in CATALOGS[code]
        and sorted(PLACEHOLDER.findall(text)) != sorted(PLACEHOLDER.findall(CATALOGS[code][text]))
    ]
    assert not differs, "\n".join(differs)


@pytest.mark.parametrize("code", CHEAP)
def test_every_text_keeps_to_the_cheap_alphabet(code: str) -> None:
    dear = [
        f"{where(text)}: {character!r}"
        for text in SOURCES
        for character in FOLDERS[code].folded(PLACEHOLDER.sub("", CATALOGS[code].get(text, "")))
        if septets(character) is None
    ]
    assert not dear, "\n".join(dear)


@pytest.mark.parametrize("code", CHEAP)
def test_every_name_that_messages_use_keeps_to_the_cheap_alphabet(code: str) -> None:
    words = LISTS[code]
    names = [words.name, *words.terms.values(), *(m.say for m in words.materials.values())]
    names += [say for m in words.measures.values() for say in m.say.values()]
    names += [f.say for f in words.forbidden.values() if f.say]
    plain = [FOLDERS[code].folded(name.replace("{n}", "1")) for name in names]
    assert [name for name in plain if count(name).encoding != "GSM-7"] == []


@pytest.mark.parametrize("code", sorted(CATALOGS))
def test_no_text_alone_costs_more_than_one_message_before_its_values(code: str) -> None:
    most = 1 if code in CHEAP else 2
    long = [
        where(text)
        for text in SOURCES
        if count(FOLDERS[code].folded(PLACEHOLDER.sub("", CATALOGS[code].get(text, "")))).segments > most
    ]
    assert not long, "\n".join(long)


def test_no_placeholder_is_left_in_any_text() -> None:
    """Each text of each dialogue is worded with a plausible value for every fact that it names."""
    known = vocabulary(LISTS.values())
    library = read_library(DIALOGUES, known)
    kinds = {name: quantity.kind for name, quantity in library.facts.items()}
    for computation in known.computations.values():
        kinds |= {f"{computation.name}.{n}": q.kind for n, q in computation.outputs.items()}
    speaker = Speaker(LISTS, LOCALES)
    for code, text in EVERY:
        values = {name: Filled(kinds[name], VALUES[kinds[name]]) for name in PLACEHOLDER.findall(text)}
        worded = speaker.text(Saying(text=text, values=values), code)
        assert "{" not in worded and "}" not in worded and "None" not in worded, worded


AMOUNT = {"n": 1.5, "measure": "bucket"}
VALUES = {
    "text": "Amina",
    "number": 3,
    "days": 4,
    "size": [2.0, 2.0, 2.0],
    "amount": AMOUNT,
    "shopping": [{"material": "goat_manure", "amount": AMOUNT}, {"material": "ash", "amount": AMOUNT}],
    "materials": ["ash"],
    "choices": ["ash", "paper"],
    "material": "ash",
    "crop": "maize",
    "date": "2026-03-02",
    "term": "yes",
    "terms": ["meat"],
    "words": ["zibuko"],
    "languages": "languages",
}


def test_a_text_without_translation_falls_back_to_the_source() -> None:
    assert Speaker(LISTS, LOCALES).text(Saying(text="No such text."), "sw") == "No such text."


def test_values_are_contracted_with_the_word_before_them() -> None:
    lists = {"en": msgspec.structs.replace(LISTS["en"], contractions={" a ash": " an ash"})}
    saying = Saying(text="Bring a {stuff}.", values={"stuff": Filled("text", "ash tree")})
    assert Speaker(lists, LOCALES).text(saying, "en") == "Bring an ash tree."


PO = 'msgid ""\nmsgstr "Content-Type: text/plain; charset=utf-8\\n"\n\n'


def test_empty_and_doubtful_translations_do_not_count(tmp_path: Path) -> None:
    path = tmp_path / "warmheap.po"
    path.write_text(
        PO + 'msgid "Yes"\nmsgstr "Ndiyo"\n\nmsgid "No"\nmsgstr ""\n\n#, fuzzy\nmsgid "Go"\nmsgstr "Nenda"\n',
        encoding="utf-8",
    )
    assert read_texts(path) == {"Yes": "Ndiyo"}


@pytest.mark.parametrize(
    "broken", [PO + 'msgid "Yes"\nmsgstr "Ndiyo\n', PO + "nonsense\n", b"\xff\xfe\x00msgid"]
)
def test_a_bad_catalog_is_named(tmp_path: Path, broken: str | bytes) -> None:
    path = tmp_path / "warmheap.po"
    path.write_bytes(broken if isinstance(broken, bytes) else broken.encode())
    with pytest.raises(BadFile, match="warmheap.po"):
        read_texts(path)
    with pytest.raises(BadFile, match="cannot be read"):
        read_texts(tmp_path / "none.po")


def test_an_unreadable_line_of_a_catalog_is_named(tmp_path: Path) -> None:
    path = tmp_path / "warmheap.po"
    path.write_text(PO + 'msgid "Yes"\nmsgstr "Ndiyo"\nnonsense\n', encoding="utf-8")
    with pytest.raises(BadFile) as caught:
        read_texts(path)
    assert caught.value.line == 6


def test_bringing_a_catalog_up_to_date_keeps_translations_and_counts_what_lacks(tmp_path: Path) -> None:
    dialogues, locales = tmp_path / "dialogues", tmp_path / "locales"
    dialogues.mkdir()
    for code in ("en", "sw"):
        (locales / code).mkdir(parents=True)
        (locales / code / "words.yaml").write_text("name: x\n", encoding="utf-8")
    file = dialogues / "one.yaml"
    file.write_text(
        "steps:\n  a:\n    say: Hello\n    note: A greeting.\n  b:\n    ask: Who?\n", encoding="utf-8"
    )
    assert update(dialogues, locales) == {"sw": 2}
    path = catalog_path(locales, "sw")
    text = path.read_text(encoding="utf-8")
    assert "#. A greeting." in text and "dialogues/one.yaml:3" in text
    path.write_text(
        text.replace('msgid "Hello"\nmsgstr ""', 'msgid "Hello"\nmsgstr "Jambo"'), encoding="utf-8"
    )
    file.write_text("steps:\n  a:\n    say: Hello\n", encoding="utf-8")
    assert update(dialogues, locales) == {"sw": 0}
    assert read_texts(path) == {"Hello": "Jambo"}
    assert not catalog_path(locales, "en").exists()


def test_the_catalogs_are_up_to_date_with_the_dialogues() -> None:
    """`make messages` would change nothing: no text lacks an entry, no entry is left over."""
    for code, texts in CATALOGS.items():
        assert code == SOURCE or set(texts) == set(SOURCES)
