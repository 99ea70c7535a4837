"""Every mistake in a dialogue file is refused at start, and the line that must be mended is named.

In the files below the line that the complaint must name ends in `# <--`.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from small_world import COMMON, FACTS, VOCABULARY

from bot.datafile import BadFile
from bot.dialogue.library import read_library

Write = Callable[..., Path]
HEAD = "dialogue: bad\nversion: 1\nabout: A bad one.\n"
OPENING = HEAD + "opens_on:\n  - {0}\nsteps:\n  one:\n    then: end\n"


def dialogue(*lines: str) -> str:
    """A dialogue of which only the steps are told."""
    return HEAD + "steps:\n" + "".join(f"  {line}\n" for line in lines)


ASK = ("one:", "  ask: How big?", "  expect: size")
BAD_DIALOGUES = [
    (OPENING.format("topic: weather # <--"), "no topic of the word lists"),
    (OPENING.format("word: fly # <--"), "no reply word"),
    (OPENING.format("has: wings # <--"), "a message has no 'wings'"),
    (OPENING.format("{topic: plan, word: done} # <--"), "needs one of topic, word, has"),
    (HEAD + "of_a_pile: any\nsteps:\n  one:\n    then: end\n", "must name the dialogue"),
    (HEAD + "colour: red # <--\nsteps:\n  one:\n    then: end\n", "unknown field `colour`"),
    (HEAD + "steps:\n  one:\n    shout: Hello # <--\n    then: end\n", "unknown field `shout`"),
    (HEAD.replace("version: 1", "version: one # <--") + "steps:\n  one:\n    then: end\n", "Expected `int`"),
    (HEAD + "steps: {} # <--\n", "there is no step"),
    (dialogue("one:", "  say: Hello", "  say: Hello again # <--", "  then: end"), "stands twice"),
    (dialogue("one:", "  do: [dance] # <--", "  then: end"), "'dance' is no action"),
    (
        dialogue("one:", "  work_out:", "    - halve: {n: bot.count} # <--", "  then: end"),
        "is no computation; there are double",
    ),
    (
        dialogue("one:", "  work_out:", "    - double: {m: bot.count} # <--", "  then: end"),
        "double takes n, extra",
    ),
    (
        dialogue("one:", "  work_out:", "    - double: {extra: bot.count} # <--", "  then: end"),
        "double also needs n",
    ),
    (
        dialogue("one:", "  work_out:", "    - double: {n: pile.size} # <--", "  then: end"),
        "pile.size is a size, double takes a number",
    ),
    (
        dialogue("one:", "  work_out:", "    - double: {n: bot.sum} # <--", "  then: end"),
        "'bot.sum' is no fact here",
    ),
    (dialogue("one:", "  set:", "    bot.count: bot.count # <--", "  then: end"), "cannot be set"),
    (dialogue("one:", "  set:", "    talk.unknown: calm # <--", "  then: end"), "is no fact here"),
    (dialogue("one:", "  set:", "    talk.mood: sad # <--", "  then: end"), "'sad' is none of calm, wild"),
    (
        dialogue("one:", "  set:", "    talk.mood: pile.size # <--", "  then: end"),
        "talk.mood is a term, pile.size is a size",
    ),
    (dialogue("one:", "  forget: [bot.count] # <--", "  then: end"), "cannot be set"),
    (dialogue("one:", "  cancel: [nothing] # <--", "  then: end"), "there is no dialogue 'nothing'"),
    (dialogue("one:", "  close: [nothing] # <--", "  then: end"), "there is no dialogue 'nothing'"),
    (
        dialogue("one:", "  later:", "    - {open: nothing, days: 2} # <--", "  then: end"),
        "there is no dialogue 'nothing'",
    ),
    (
        dialogue("one:", "  later:", "    - {open: bad, days: bot.count} # <--", "  then: end"),
        "is not a number of days",
    ),
    (
        dialogue("one:", '  say: "Hello {farmer.nickname}" # <--', "  then: end"),
        "the text uses {farmer.nickname}",
    ),
    (dialogue("one:", '  say: "Hello {" # <--', "  then: end"), "a { or } stands alone"),
    (dialogue("one: # <--", "  ask: How big?", "  then: end"), "ask and expect go together"),
    (dialogue("one:", "  say: Hello", "  keep: pile.size # <--", "  then: end"), "makes sense only with ask"),
    (dialogue("one:", "  say: Hello", "  shortly: Hm? # <--", "  then: end"), "makes sense only with ask"),
    (
        dialogue("one:", "  ask: How far?", "  expect: distance # <--", "  then: end"),
        "no kind that can be asked for",
    ),
    (
        dialogue("one:", "  ask: How many?", "  expect: number # <--", "  then: end"),
        "no kind that can be asked for",
    ),
    (
        dialogue(*ASK, "  keep: farmer.name # <--", "  then: end"),
        "farmer.name is a text, the answer is a size",
    ),
    (dialogue(*ASK, "  unless_known: pile.colour # <--", "  then: end"), "is no fact here"),
    (dialogue(*ASK, "  answers:", "    huge: one # <--", "  then: end"), "is no size and no reply word"),
    (dialogue(*ASK, "  then: two # <--"), "there is no step 'two'"),
    (dialogue("one:", "  then: open nothing # <--"), "there is no dialogue 'nothing'"),
    (dialogue("one: # <--", "  say: Hello"), "leads nowhere: add then"),
    (
        dialogue("one: # <--", "  ask: Yes?", "  expect: yesno", '  answers: {"yes": one}'),
        "leads nowhere: add then",
    ),
    (dialogue("one: # <--", "  ask: Ready?", "  expect: word"), "leads nowhere: add then"),
    (
        dialogue("one:", "  then: # <--", "    - when: {bot.count: known}", "      go: end"),
        "not every case leads somewhere",
    ),
    (
        dialogue("one:", "  then:", "    - when: {talk.mood: sad} # <--", "      go: end", "    - go: end"),
        "'sad' is none of calm, wild",
    ),
    (
        dialogue("one:", "  then:", "    - when: {bot.sum: known} # <--", "      go: end", "    - go: end"),
        "is no fact here",
    ),
    (dialogue("one:", "  then: end", "two: # <--", "  then: end"), "nothing leads to this step"),
]


def line_marked(text: str) -> int | None:
    marked = [n for n, line in enumerate(text.splitlines(), 1) if line.endswith("# <--")]
    return marked[0] if marked else None


@pytest.mark.parametrize(
    ("text", "problem"), BAD_DIALOGUES, ids=lambda value: value if " " in value[:9] else None
)
def test_a_mistake_in_a_dialogue_is_named_with_its_line(write: Write, text: str, problem: str) -> None:
    folder = write(text)
    with pytest.raises(BadFile) as caught:
        read_library(folder, VOCABULARY)
    assert problem in caught.value.problem
    assert caught.value.file == str(folder / "bad.yaml")
    if (line := line_marked(text)) is not None:
        assert caught.value.line == line
        assert f"bad.yaml, line {line}: " in str(caught.value)


def test_a_line_that_is_no_yaml_is_named(write: Write) -> None:
    with pytest.raises(BadFile) as caught:
        read_library(write(HEAD + "steps:\n  one: [\n"), VOCABULARY)
    assert caught.value.line is not None and caught.value.line >= 5


def test_a_dialogue_is_called_like_its_file(write: Write) -> None:
    folder = write(dialogue("one:", "  then: end"))
    (folder / "bad.yaml").rename(folder / "other.yaml")
    with pytest.raises(
        BadFile, match=r"other.yaml, line 1: dialogue: is 'bad', but the file is called other.yaml"
    ):
        read_library(folder, VOCABULARY)


def test_every_case_may_be_spelt_out_instead_of_an_otherwise(write: Write) -> None:
    good = dialogue(
        "one:", "  work_out:", "    - double: {n: bot.count}", "  then:",
        "    - when: {double.verdict: small}", "      go: end",
        "    - when: {double.verdict: big}", "      go: end",
    )  # fmt: skip
    assert "bad" in read_library(write(good), VOCABULARY).dialogues


BAD_FACTS = [
    (FACTS + "  pile.colour: paint # <--\n", "'paint' is no kind; there are"),
    (FACTS + "  bot.name: text # <--\n", "must be one of farmer.<name>, pile.<name>, talk.<name>"),
    (FACTS + "  pile.a.b: text # <--\n", "must be one of farmer.<name>"),
    (FACTS + "more: facts # <--\n", "unknown field `more`"),
]
BAD_COMMON = [
    (COMMON.replace("  left: Left.\n", "").replace("texts:", "texts: # <--"), "the text 'left' is missing"),
    (COMMON.replace("left: Left.", 'left: "Left {bot.time}." # <--'), "the text uses {bot.time}"),
    (
        COMMON.replace("  size: Three numbers please.\n", "").replace("again:", "again: # <--"),
        "'size' was not understood is missing",
    ),
    (COMMON + "  number: A number please. # <--\n", "is no kind that can be asked for"),
]


@pytest.mark.parametrize(("text", "problem"), BAD_FACTS)
def test_a_bad_fact_is_named_with_its_line(write: Write, text: str, problem: str) -> None:
    with pytest.raises(BadFile) as caught:
        read_library(write(facts=text), VOCABULARY)
    assert problem in caught.value.problem and caught.value.line == line_marked(text)


@pytest.mark.parametrize(("text", "problem"), BAD_COMMON)
def test_a_bad_common_text_is_named_with_its_line(write: Write, text: str, problem: str) -> None:
    with pytest.raises(BadFile) as caught:
        read_library(write(common=text), VOCABULARY)
    assert problem in caught.value.problem and caught.value.line == line_marked(text)


def test_a_folder_without_dialogues_and_a_missing_file_are_told(write: Write, tmp_path: Path) -> None:
    folder = write()
    (folder / "enrol.yaml").unlink()
    with pytest.raises(BadFile, match="holds no dialogue file"):
        read_library(folder, VOCABULARY)
    (folder / "common.yaml").unlink()
    with pytest.raises(BadFile, match="cannot be read"):
        read_library(folder, VOCABULARY)
