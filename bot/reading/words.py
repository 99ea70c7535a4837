"""The word list of a language: its shape, its checks, its loading. docs/reading.md tells how to write one.

A word is written as people type it. In every list of words an entry may be a phrase, with `a/b`
for either word, `word?` for a word that may be missing, `...` for a few words in between and `<group>` for any
word of a group.
"""

from __future__ import annotations

import hashlib
import re
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Literal, get_args

import msgspec

from bot.datafile import BadFile, Document, parse_document, read_document

Topic = Literal[
    "join", "plan", "manure", "water", "feel", "smell", "wet", "ready", "spread", "sell", "trainer",
    "stop", "start", "help", "language", "danger",
]  # fmt: skip
Material = Literal[
    "maize_stalks", "maize_cobs", "rice_straw", "wheat_straw", "dry_grass", "green_grass", "dry_leaves",
    "green_leaves", "banana_leaves", "legume_leaves", "vegetable_scraps", "weeds", "sawdust", "coffee_pulp",
    "cassava_peels", "sugarcane_trash", "cattle_manure", "goat_manure", "sheep_manure", "poultry_manure",
    "pig_manure", "rabbit_manure", "ash", "eggshells", "topsoil", "termite_soil", "paper",
]  # fmt: skip
Measure = Literal[
    "bucket", "basin", "wheelbarrow", "sack", "oxcart", "headload", "handful", "kg", "litre", "m3",
]  # fmt: skip
Forbidden = Literal[
    "meat", "bones", "blood", "fat", "oily_food", "dog_faeces", "cat_faeces", "human_faeces", "plastic",
    "diseased_plants", "sprayed_plants",
]  # fmt: skip
Sight = Literal[
    "flies", "ants", "termites", "rats", "diggers", "snakes", "worms", "threads", "sprouting", "sinking",
    "stolen", "burnt", "flooded", "moved",
]  # fmt: skip
Lesson = Literal[
    "turning", "dampness", "layers", "chopping", "balance", "heat", "covering", "forbidden", "weed_seeds", "ash",
    "sprays", "size", "time", "worms", "raw_manure", "air",
]  # fmt: skip
Crop = Literal[
    "maize", "sorghum", "beans", "leaf_vegetables", "tomato", "cabbage", "onion", "potato", "sweet_potato",
    "cassava", "banana", "coffee", "fruit_tree",
]  # fmt: skip
Stranger = Literal["advert", "auto_reply", "insult"]
Choice = Literal["look", "pieces", "colour", "matter"]
"""Kinds of questions that list their answers, for which a list may hold words."""
TOPICS: tuple[str, ...] = get_args(Topic)
MATERIALS: tuple[str, ...] = get_args(Material)
MEASURES: tuple[str, ...] = get_args(Measure)
FORBIDDEN: tuple[str, ...] = get_args(Forbidden)
SIGHTS: tuple[str, ...] = get_args(Sight)
LESSONS: tuple[str, ...] = get_args(Lesson)
CROPS: tuple[str, ...] = get_args(Crop)
STRANGERS: tuple[str, ...] = get_args(Stranger)
CHOICES: tuple[str, ...] = get_args(Choice)
GROUPS = ("pile", "have", "very", "too", "squeeze", "smell", "question", "field")
"""Groups that the reader itself asks for; a list may hold any others for its own phrases."""
Plural = Literal["zero", "one", "two", "few", "many", "other", "half"]
Phrases = list[str]


class _Part(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    pass


class TopicWords(_Part, frozen=True):
    """alone: the topic when nothing else but values stands beside it. asked: the topic wherever it stands."""

    alone: Phrases = []
    asked: Phrases = []


class MaterialWords(_Part, frozen=True):
    """say: its name in a message. short: a name that counts only where materials are the subject (`goat`)."""

    say: str
    words: Phrases
    short: Phrases = []


class MeasureWords(_Part, frozen=True):
    """say: its name after a number `{n}`, for each CLDR plural category of the language; `half`, which holds
    no number, is said for 0.5."""

    say: dict[Plural, str]
    words: Phrases


class ForbiddenWords(_Part, frozen=True):
    words: Phrases
    short: Phrases = []
    say: str = ""


class CropWords(_Part, frozen=True):
    """say: its name in a message."""

    say: str
    words: Phrases


class Unclear(_Part, frozen=True):
    """A word that could be any of several materials."""

    words: Phrases
    could_be: list[Material]


class Unit(_Part, frozen=True, rename={"is_": "is"}):
    """is: its size in metres, square metres, millimetres or days. assumed: the size is a guess, and is told."""

    is_: float
    words: Phrases
    assumed: bool = False


class Temperature(_Part, frozen=True):
    celsius: Phrases
    fahrenheit: Phrases
    degree: Phrases


class Units(_Part, frozen=True):
    length: dict[str, Unit]
    area: dict[str, Unit]
    rain: dict[str, Unit]
    temperature: Temperature
    time: dict[str, Unit]


class Numbers(_Part, frozen=True):
    """words and scales: value to words. scale_first: `mia mbili` and not `two hundred`. joiners: between the
    parts of one number. ones_first: `خمسة وعشرين`, five and twenty. before: words that add to the number after
    them (`saadhe teen` is 3 + 0.5)."""

    words: dict[str, Phrases]
    scales: dict[str, Phrases] = {}
    scale_first: bool = False
    ones_first: bool = False
    joiners: Phrases = []
    before: dict[str, Phrases] = {}
    ranges: Phrases = []
    range_opens: list[str] = []
    pairs_are_ranges: bool = False
    """Two number words in a row are a range: `दस बारह` is 10 to 12."""


class Sizes(_Part, frozen=True):
    """between: what stands between the sides. cube: the same on each side. Then the sides' names."""

    between: Phrases
    cube: Phrases = []
    length: Phrases = []
    width: Phrases = []
    height: Phrases = []


class Negation(_Part, frozen=True):
    before: Phrases
    after: Phrases = []


class Feel(_Part, frozen=True):
    """In each of the reports, as_answer: words that count only as the answer to that very question."""

    cold: Phrases
    warm: Phrases
    hot: Phrases
    as_answer: dict[Literal["cold", "warm", "hot"], Phrases] = {}


class Squeeze(_Part, frozen=True):
    dry: Phrases
    damp: Phrases
    wet: Phrases
    as_answer: dict[Literal["dry", "damp", "wet"], Phrases] = {}


class Smell(_Part, frozen=True):
    """as_answer may also hold `none`: that there is no smell."""

    earthy: Phrases
    ammonia: Phrases
    rotten: Phrases
    sour: Phrases
    as_answer: dict[Literal["earthy", "ammonia", "rotten", "sour", "none"], Phrases] = {}


class Answer(_Part, frozen=True):
    yes: Phrases
    no: Phrases
    later: Phrases


class Rain(_Part, frozen=True):
    """word: rain itself, which a number in millimetres or a negation makes a report."""

    word: Phrases
    none: Phrases
    some: Phrases
    heavy: Phrases
    as_answer: dict[Literal["none", "some", "heavy"], Phrases] = {}


class When(_Part, frozen=True):
    """now and past tell which of two reports counts; supposing: it is asked or expected, not reported.

    ago: what makes `10 days` a day in the past. days_ago: words for such a day (yesterday: 1).
    """

    now: Phrases = []
    past: Phrases = []
    supposing: Phrases = []
    ago: Phrases = []
    days_ago: dict[str, Phrases] = {}


class WordList(_Part, frozen=True, kw_only=True):
    """All words of one language. joined: words that are written as the beginning of the next one (Arabic `و`).
    stands_for: a word for several, such as a dual (`مترين`: 2 متر).

    `code`, `file` and `like` (the list it is read by, likeness.py) are set on reading."""

    code: str = ""
    file: str = ""
    like: str = ""
    name: str
    review: Literal["draft", "native"]
    letters: dict[str, str] = {}
    plain_letters: dict[str, str] = {}
    contractions: dict[str, str] = {}
    skip: Phrases
    polite: Phrases
    common: Phrases
    not_meant: Phrases = []
    spellings: dict[str, Phrases] = {}
    """Other ways to write a word: `thanda: [thandi, ठंडा]`. Phrases are kept with the word itself."""
    beginnings: list[str] = []
    joined: list[str] = []
    stands_for: dict[str, str] = {}
    endings: list[str] = []
    groups: dict[str, Phrases] = {}
    and_words: Phrases
    when: When
    negation: Negation
    numbers: Numbers
    sizes: Sizes
    units: Units
    measures: dict[Measure, MeasureWords]
    one_before_measure: Phrases = []
    one_without_number: Phrases = []
    """Units that mean one of them when no number stands beside them (Arabic `شوال`: a sack)."""
    materials: dict[Material, MaterialWords]
    manure: Phrases
    unclear: list[Unclear] = []
    forbidden: dict[Forbidden, ForbiddenWords]
    topics: dict[Topic, TopicWords]
    feel: Feel
    squeeze: Squeeze
    smell: Smell
    answer: Answer
    rain: Rain
    sights: dict[Sight, Phrases]
    lessons: dict[Lesson, Phrases]
    crops: dict[Crop, CropWords]
    strangers: dict[Stranger, Phrases]
    replies: dict[str, Phrases]
    languages: dict[str, Phrases]
    terms: dict[str, str] = {}
    name_before: Phrases = []
    """What stands before a name that is asked for: `my name is`."""
    name_after: Phrases = []
    """Single words that may stand after it: the है of `मेरा नाम सुनीता है`."""
    choices: dict[Choice, dict[str, Phrases]] = {}
    """Words for the answers that a question lists, by its kind: `look: {crumbly: [...]}`."""


def parse_words(text: str, file: str) -> WordList:
    """A word list from YAML text. The language is the name of the file's folder. Raises BadFile."""
    return _checked(parse_document(text, file))


def read_words(path: Path) -> WordList:
    """A word list from its file `locales/<language>/words.yaml`. Raises BadFile."""
    return _checked(read_document(path))


def packed(words: WordList) -> bytes:
    """A list as few bytes: what a reader keeps of it for the next word that is taught."""
    return zlib.compress(msgspec.msgpack.encode(words))


def unpacked(kept: bytes) -> WordList:
    return msgspec.msgpack.decode(zlib.decompress(kept), type=WordList)


def fingerprint(words: WordList) -> bytes:
    """The same for lists with the same words."""
    return hashlib.blake2b(msgspec.msgpack.encode(words), digest_size=16).digest()


def load_languages(locales_dir: Path) -> dict[str, WordList]:
    """Every word list of a folder by language code, in alphabetical order. Raises BadFile."""
    paths = sorted(locales_dir.glob("*/words.yaml"))
    if not paths:
        raise BadFile(str(locales_dir), None, "", "no <language>/words.yaml was found here")
    from bot.reading.likeness import is_names_only, named_like  # it builds on the shapes above

    documents = {path.parent.name: read_document(path) for path in paths}
    whole = {code: _checked(each) for code, each in documents.items() if not is_names_only(each)}
    return {
        code: whole[code] if code in whole else named_like(each, whole) for code, each in documents.items()
    }


def _checked(document: Document) -> WordList:
    if isinstance(document.data, dict) and {"code", "file"} & set(document.data):
        raise document.error("code", "the language is told by the folder, not by the file")
    if isinstance(document.data, dict) and "like" in document.data:
        raise document.error("like", "a list of names alone is read together with the others")
    words: WordList = document.convert(WordList)
    code = Path(document.file).parent.name
    words = msgspec.structs.replace(words, code=code, file=document.file)
    _check_complete(words, document)
    _check_values(words, document)
    from bot.reading.checks import check_phrases  # it builds on the shapes above

    check_phrases(words, document.error)
    return words


def _check_complete(words: WordList, document: Document) -> None:
    wanted = {
        "materials": MATERIALS,
        "measures": MEASURES,
        "forbidden": FORBIDDEN,
        "topics": TOPICS,
        "sights": SIGHTS,
        "lessons": LESSONS,
        "crops": CROPS,
        "strangers": STRANGERS,
        "groups": GROUPS,
    }
    for name, ids in wanted.items():
        missing = [each for each in ids if each not in getattr(words, name)]
        if missing:
            raise document.error(name, f"missing: {', '.join(missing)}")


def check_amounts(words: WordList, document: Document) -> None:
    """Raises BadFile if a measure cannot be written after a number."""
    for name, measure in words.measures.items():
        for plural, text in measure.say.items():
            if "{n}" not in text and plural != "half":
                raise document.error(f"measures.{name}.say.{plural}", "must hold {n}, the number")
        if "other" not in measure.say:
            raise document.error(f"measures.{name}.say", "the plural category `other` is missing")


def _check_values(words: WordList, document: Document) -> None:
    check_amounts(words, document)
    for field, value in _number_keys(words):
        if not re.fullmatch(r"-?[0-9]+(\.[0-9]+)?", value):
            raise document.error(field, f"{value!r} is no number")
    for section in ("length", "area", "rain", "time"):
        for unit, size in getattr(words.units, section).items():
            if not 0 < size.is_ < 1e9:
                raise document.error(f"units.{section}.{unit}.is", f"{size.is_} is no size of a unit")
    for letter in words.letters:
        if len(letter) != 1:
            raise document.error(f"letters.{letter}", "must be one letter")


def _number_keys(words: WordList) -> Iterator[tuple[str, str]]:
    numbers = words.numbers
    for name, section in (("words", numbers.words), ("scales", numbers.scales), ("before", numbers.before)):
        for key in section:
            yield f"numbers.{name}.{key}", key
    for key in words.when.days_ago:
        yield f"when.days_ago.{key}", key
