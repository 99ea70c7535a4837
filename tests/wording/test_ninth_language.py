"""A language is added with data alone, as docs/translating.md tells: here a toy one, English with its words turned round.

What an English farmer says and hears, turned round, must be what the toy farmer says and hears.
"""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

import bot.service
from bot import Config, HandClock, Inbound, open_bot
from bot.datafile import read_document
from bot.wording.catalogs import catalog_path, update

ROOT = Path(__file__).parents[2]
CODE, NAME = "eo", "Toyish"
PHONE = "+447700900042"
LEFT_ALONE = ("units", "groups", "letters")
"""Sections of the word list that stay: units are the same everywhere, and groups are named by other phrases."""
OWN = ("Amina", "Green Hill")
SEASON = (
    *OWN, "yes", "plan", "2x2x2", "maize stalks, goat manure", "bucket of 20 litres", "yes", "done", "all", "done", "hot",
    "why turn", "there are ants", "cold", "dry", "how much manure for 2x2x2", "stop",
)  # fmt: skip


def turned(word: str) -> str:
    """A word of the toy language; no English word ends so."""
    plain = word.lower()[::-1] + "zu"
    return plain.upper() if word.isupper() and len(word) > 1 else plain


def turned_text(text: str) -> str:
    """Every word of a text, but not what stands in {braces}, units or sizes."""
    keep = r"\{[^{}]*\}(?: (?:m|cm|kg)\b)?|<\w+>|\d+(?:\.\d+)?(?:x\d+(?:\.\d+)?)*(?: ?(?:m|cm|kg|min)\b)?"
    return re.sub(
        rf"({keep})|([A-Za-z]+(?:'[a-z]+)?)",
        lambda m: m.group(1) or turned(m.group(2).replace("'", "")),
        text,
    )


def turned_data(value: object, field: str = "") -> object:
    if isinstance(value, dict):
        return {key: turned_data(each, str(key)) for key, each in value.items()}
    if isinstance(value, list):
        return [turned_data(each, field) for each in value]
    ids = field in ("could_be", "review", "is", "assumed", "scale_first", "plain_letters", "between")
    return value if ids or not isinstance(value, str) else turned_text(value)


def words_of_the_toy() -> dict[str, object]:
    english = read_document(ROOT / "locales" / "en" / "words.yaml").data
    toy = {key: value if key in LEFT_ALONE else turned_data(value) for key, value in english.items()}
    toy["groups"] = {name: turned_data(phrases) for name, phrases in english["groups"].items()}
    for unclear, source in zip(toy["unclear"], english["unclear"], strict=True):
        unclear["could_be"] = source["could_be"]
    toy |= {"name": NAME, "review": "draft", "endings": [], "beginnings": []}
    toy["languages"] = {"en": ["english"], CODE: [NAME]}
    return toy


@pytest.fixture(scope="module")
def toy_root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The steps of docs/translating.md: the word list, `make messages`, the translation."""
    root = tmp_path_factory.mktemp("ninth")
    shutil.copytree(ROOT / "dialogues", root / "dialogues")
    shutil.copytree(ROOT / "locales" / "en", root / "locales" / "en")
    folder = root / "locales" / CODE
    folder.mkdir()
    (folder / "words.yaml").write_text(
        json.dumps(words_of_the_toy(), ensure_ascii=False), "utf-8"
    )  # JSON is YAML
    missing = update(root / "dialogues", root / "locales")
    assert missing[CODE] > 200
    path = catalog_path(root / "locales", CODE)
    fill = r'msgid "((?:[^"\\]|\\.)+)"\nmsgstr ""\n'
    path.write_text(
        re.sub(
            fill,
            lambda m: f'msgid "{m.group(1)}"\nmsgstr "{_translated(m.group(1))}"\n',
            path.read_text("utf-8"),
        ),
        "utf-8",
    )
    assert update(root / "dialogues", root / "locales")[CODE] == 0
    return root


def _translated(source: str) -> str:
    return turned_text(source.replace('\\"', "~")).replace("~", '\\"')


def season(code: str, name: str, say: Callable[[str], str]) -> list[str]:
    """What a farmer hears who chooses the language by its name."""
    clock = HandClock(datetime(2026, 3, 2, 9, 0, tzinfo=UTC))
    opened = open_bot(Config(database=":memory:", default_language=code), clock)
    for text in ("join", name, *SEASON):
        clock.move_by(timedelta(minutes=3))
        said = text if text in (name, *OWN) else say(text)
        opened.receive(Inbound(gateway="simulated", phone=PHONE, text=said, sent_at=clock.now()))
    heard = [entry.text for entry in opened.transcript() if entry.direction == "out"]
    opened.close()
    return heard


def test_a_farmer_of_the_toy_language_is_understood_and_answered(
    toy_root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(bot.service, "ROOT", toy_root)
    english, toy = season("en", "English", lambda text: text), season(CODE, NAME, turned_text)
    assert not [text for text in english if "did not understand" in text]
    # The first message names the languages, which stay as they are. Longer words may part messages elsewhere.
    assert " ".join(_heard(text) for text in english[1:]) == " ".join(toy[1:]) and len(toy) >= len(SEASON)


def _heard(english: str) -> str:
    """An English message as the toy language says it; the farmer's name stays."""
    return turned_text(english).replace(turned("Amina"), "Amina")
