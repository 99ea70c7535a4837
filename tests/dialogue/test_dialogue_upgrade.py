"""Dialogue files that change while farmers stand in them: versions, migration notes, polite new beginnings."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest
from small_world import VOCABULARY, SmallWorld, Talk, texts

from bot.datafile import BadFile
from bot.dialogue import state
from bot.dialogue.library import read_library
from bot.reading.meaning import Meaning

Write = Callable[..., Path]
PLAN = """\
dialogue: plan
version: {version}
about: Planning.
opens_on:
  - topic: plan
steps:
  {first}:
    ask: How big?
    expect: size
    keep: pile.size
    then: {second}
  {second}:
    ask: "{question}"
    expect: yesno
    then: done
  done:
    say: Done.
    then: end
"""


def plan(version: int = 1, first: str = "size", second: str = "sure", question: str = "Sure?") -> str:
    return PLAN.format(version=version, first=first, second=second, question=question)


def upgraded(write: Write, talk: Talk, *files: str, moved: str | None = None) -> Talk:
    """The same conversation, over changed files."""
    folder = write(*files)
    for old in {"plan"} - {text.split("\n", 1)[0].removeprefix("dialogue: ") for text in files}:
        (folder / f"{old}.yaml").unlink()
    if moved is not None:
        (folder / "moved.yaml").write_text(f"about: Notes.\nmoved:\n{moved}", encoding="utf-8")
    new = Talk(read_library(folder, VOCABULARY), talk.world)
    new.state = state.parse(state.dump(talk.state))
    return new


@pytest.fixture
def waiting(write: Write) -> Talk:
    """A farmer who is asked whether it is sure, by version 1."""
    talk = Talk(read_library(write(plan()), VOCABULARY), SmallWorld())
    talk.hears(topic="plan", size_m=(2.0, 2.0, 2.0))
    assert talk.waiting == ("plan", "sure")
    return talk


def test_a_new_version_with_the_same_step_goes_on_unnoticed(write: Write, waiting: Talk) -> None:
    talk = upgraded(write, waiting, plan(version=2, question="Quite sure?"))
    assert talk.hears(answer="yes") == ["Done."]


def test_a_renamed_step_is_found_by_its_note_and_the_answer_counts(write: Write, waiting: Talk) -> None:
    talk = upgraded(write, waiting, plan(version=2, second="certain"), moved="  plan.sure: plan.certain\n")
    assert talk.engine.expects(talk.state)[0] == "yesno", "the reader is told what is asked"
    assert talk.hears(answer="yes") == ["Done."]


def test_a_renamed_dialogue_is_found_by_its_note(write: Write, waiting: Talk) -> None:
    new = plan(version=1).replace("dialogue: plan", "dialogue: scheme")
    talk = upgraded(write, waiting, new, moved="  plan: scheme\n")
    assert talk.engine.library.moved_dialogue("plan") == "scheme", (
        "a reminder set under the old name finds it"
    )
    assert talk.waiting == ("plan", "sure")


def test_a_step_can_move_to_another_dialogue(write: Write, waiting: Talk) -> None:
    new = plan(version=1, first="start", second="end_check").replace("dialogue: plan", "dialogue: scheme")
    talk = upgraded(write, waiting, new, moved="  plan.sure: scheme.end_check\n")
    assert talk.hears(answer="yes") == ["Done."]


def test_a_removed_step_without_note_begins_its_dialogue_anew_and_says_so(
    write: Write, waiting: Talk
) -> None:
    talk = upgraded(write, waiting, plan(version=2, second="certain"))
    assert talk.hears(answer="yes") == ["The questions have changed.", "How big?"]
    assert talk.hears(size_m=(1.0, 1.0, 1.0)) == ["Sure?"], "and it is said once"


def test_a_step_that_now_tells_what_was_not_worked_out_begins_anew(write: Write, waiting: Talk) -> None:
    """Else the text would have a hole: version 1 never worked that out for this farmer."""
    changed = plan(version=2, question="Sure of {double.twice}?").replace(
        "  sure:\n", "  sure:\n    work_out:\n      - double: {n: bot.count}\n"
    )
    talk = upgraded(write, waiting, changed)
    assert talk.hears(text="what", answer=None) == ["The questions have changed.", "How big?"]
    assert texts(talk.engine.take(talk.state, Meaning(text="1x1x1", size_m=(1, 1, 1)), talk.world)) == [
        "Sure of {double.twice}?"
    ]


def test_a_removed_dialogue_is_let_go_and_what_waits_below_goes_on(write: Write, waiting: Talk) -> None:
    waiting.state.frames.append(state.Frame(dialogue="gone", version=1, step="one"))
    waiting.state.asked_at = datetime(2026, 3, 2, tzinfo=UTC)
    talk = upgraded(write, waiting, plan())
    assert talk.hears(answer="yes") == ["The questions have changed.", "Done."]


@pytest.mark.parametrize(
    ("note", "problem"),
    [
        ("  plan.size: plan.sure\n", "is still there"),
        ("  plan.old: plan.nowhere\n", "there is no plan.nowhere"),
        ("  old: nowhere\n", "there is no nowhere"),
        ("  plan.old: plan\n", "from a dialogue to a dialogue, or from a step to a step"),
        ("  plan.old: plan.done\n", "asks nothing"),
    ],
)
def test_a_note_that_leads_nowhere_is_named_with_its_line(write: Write, note: str, problem: str) -> None:
    folder = write(plan())
    (folder / "moved.yaml").write_text(f"about: Notes.\nmoved:\n{note}", encoding="utf-8")
    with pytest.raises(BadFile, match=problem) as caught:
        read_library(folder, VOCABULARY)
    assert caught.value.line == 3 and caught.value.file.endswith("moved.yaml")
