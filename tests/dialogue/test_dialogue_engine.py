"""The engine over small dialogues: answers, digressions, leaving, lost steps, circles."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime

import msgspec
import pytest
from small_world import VOCABULARY, SmallWorld, Talk

from bot.dialogue import state
from bot.dialogue.engine import DialogueCircle, Missing
from bot.dialogue.library import read_library

Start = Callable[..., Talk]
PLAN = """\
dialogue: plan
version: 1
about: A size, a yes, a word.
opens_on:
  - topic: plan
steps:
  size:
    ask: How big?
    shortly: And how big?
    expect: size
    keep: pile.size
    then: sure
  sure:
    ask: Sure?
    again: Yes or no, are you sure?
    expect: yesno
    answers: {"yes": word, "no": size}
  word:
    ask: Go on?
    expect: word
    answers: {done: good, back: sure, later: put_off}
  good:
    say: Good.
    then: end
  put_off:
    say: Put off.
    then: end
"""
MANURE = """\
dialogue: manure
version: 1
about: One message.
opens_on:
  - topic: manure
for_anyone: true
may_wait: false
steps:
  size:
    ask: Manure for what size?
    expect: size
    keep: talk.size
    then: told
  told:
    say: Some manure.
    then: end
"""
HELP = """\
dialogue: help
version: 1
about: Help.
opens_on:
  - topic: help
at_any_moment: true
for_anyone: true
may_wait: false
steps:
  help:
    say: This is help.
    then: end
"""
STOP = HELP.replace("help", "stop").replace("may_wait", "last_word: true\nmay_wait")
CARE = """\
dialogue: care
version: 1
about: A reminder.
may_wait: false
steps:
  ask:
    ask: How is it?
    expect: yesno
    answers: {"yes": warm, "no": cold}
  warm:
    close: [plan]
    say: Fine.
    then: end
  cold:
    say: Oh.
    then: end
"""
SIZE = (2.0, 2.0, 2.0)


def small(name: str, *lines: str, topic: str = "plan", more: str = "") -> str:
    """A dialogue that a topic opens, of which only the steps are told."""
    head = f"dialogue: {name}\nversion: 1\nabout: A small one.\n{more}opens_on:\n  - topic: {topic}\nsteps:\n"
    return head + "".join(f"  {line}\n" for line in lines)


def test_a_straight_way_through(start: Start) -> None:
    talk = start(PLAN)
    assert talk.hears(topic="plan") == ["How big?"]
    assert talk.hears(size_m=SIZE) == ["Sure?"]
    assert talk.world.facts["pile.size"] == list(SIZE) or talk.world.facts["pile.size"] == SIZE
    assert talk.hears(answer="yes") == ["Go on?"]
    assert talk.hears(word="done") == ["Good."]
    assert talk.waiting is None


def test_what_was_said_before_it_is_asked_is_not_asked_again(start: Start) -> None:
    assert start(PLAN).hears(topic="plan", size_m=SIZE) == ["Sure?"]


def test_a_number_picks_the_answer_in_the_order_of_the_question(start: Start) -> None:
    talk = start(PLAN)
    talk.hears(topic="plan", size_m=SIZE)
    assert talk.hears(number=2.0) == ["How big?"]
    assert talk.hears(size_m=SIZE) == ["Sure?"]
    assert talk.hears(number=1.0) == ["Go on?"]


@pytest.mark.parametrize("number", [0.0, 3.0, -1.0, 1.5, 1e9])
def test_a_number_that_is_no_answer_is_asked_again(start: Start, number: float) -> None:
    talk = start(PLAN)
    talk.hears(topic="plan", size_m=SIZE)
    assert talk.hears(number=number) == ["Yes or no, are you sure?"]
    assert talk.waiting == ("plan", "sure") and talk.world.missed == ["yesno"]


def test_a_word_offered_may_be_a_yes_a_no_or_a_later(start: Start) -> None:
    talk = start(PLAN)
    talk.hears(topic="plan", size_m=SIZE)
    talk.hears(answer="yes")
    assert talk.hears(answer="later") == ["Put off."]


def test_three_replies_that_answer_nothing_bring_help_and_the_question(start: Start) -> None:
    talk = start(PLAN)
    talk.hears(topic="plan")
    assert [talk.hears() for _ in range(4)] == [
        ["Three numbers please."],
        ["Three numbers please."],
        ["Still stuck.", "And how big?"],
        ["Three numbers please."],
    ]


def test_a_digression_is_answered_and_the_question_put_again_shortly(start: Start) -> None:
    talk = start(PLAN, HELP, MANURE)
    talk.hears(topic="plan")
    assert talk.hears(topic="help") == ["This is help.", "And how big?"]
    assert talk.hears(topic="manure", size_m=SIZE) == ["Some manure.", "And how big?"]
    assert "pile.size" not in talk.world.facts
    assert talk.waiting == ("plan", "size")


def test_a_digression_with_a_question_of_its_own_comes_back(start: Start) -> None:
    talk = start(PLAN, MANURE)
    talk.hears(topic="plan")
    assert talk.hears(topic="manure") == ["Manure for what size?"]
    assert talk.hears(size_m=SIZE) == ["Some manure.", "And how big?"]


def test_after_a_last_word_nothing_is_asked(start: Start) -> None:
    talk = start(PLAN, STOP)
    talk.hears(topic="plan")
    assert talk.hears(topic="stop") == ["This is stop."]
    assert talk.waiting == ("plan", "size")


def test_later_and_skip_leave_the_question(start: Start) -> None:
    for leaving in ({"answer": "later"}, {"word": "skip"}):
        talk = start(PLAN)
        talk.hears(topic="plan")
        assert talk.hears(**leaving) == ["Left."]
        assert talk.waiting is None


def test_who_has_not_joined_is_enrolled_first_and_loses_nothing(start: Start) -> None:
    talk = start(PLAN, world=SmallWorld(joined=False))
    assert talk.hears(topic="plan", size_m=SIZE) == ["Your name?"]
    assert talk.hears("Amina") == ["Welcome, {farmer.name}.", "Sure?"]


def test_a_wish_in_the_middle_of_joining_is_kept(start: Start) -> None:
    talk = start(PLAN, world=SmallWorld(joined=False))
    assert talk.hears(topic="join", topic_alone=True) == ["Your name?"]
    assert talk.hears(topic="plan", topic_alone=True) == ["Your name?"]
    assert talk.hears("Amina") == ["Welcome, {farmer.name}.", "How big?"]


def test_nonsense_from_a_stranger_leads_to_joining_and_from_a_farmer_to_a_hint(start: Start) -> None:
    assert start(PLAN, world=SmallWorld(joined=False)).hears() == ["Your name?"]
    talk = start(PLAN)
    assert talk.hears() == ["What?"] and talk.world.missed == [None]


def test_a_reminder_takes_the_place_of_an_older_one_but_not_of_a_plan(start: Start) -> None:
    talk = start(PLAN, CARE)
    talk.hears(topic="plan")
    assert talk.opens("care") == ["How is it?"]
    assert talk.opens("care") == ["How is it?"]
    assert [f.dialogue for f in talk.state.frames] == ["plan", "care"]
    assert talk.hears(answer="no") == ["Oh.", "And how big?"]


def test_a_step_closes_what_has_lost_its_point(start: Start) -> None:
    talk = start(PLAN, CARE)
    talk.hears(topic="plan")
    talk.state.frames[0].pile = "A"
    talk.opens("care")
    assert talk.hears(answer="yes") == ["Fine."]
    assert talk.waiting is None


def test_silence_asks_again_and_then_puts_aside(start: Start) -> None:
    talk = start(PLAN)
    talk.hears(topic="plan")
    assert talk.engine.may_wait(talk.state)
    says = talk.engine.ask_again(talk.state, talk.world)
    assert [s.text for s in says][0] == "Going on." and len(says) == 2
    assert [s.text for s in talk.engine.put_aside(talk.state, talk.world)] == ["Put aside."]
    assert talk.waiting is None


def test_the_question_of_a_reminder_is_not_asked_again(start: Start) -> None:
    talk = start(PLAN, CARE)
    talk.opens("care")
    assert not talk.engine.may_wait(talk.state)
    assert talk.engine.ask_again(talk.state, talk.world) == []


def test_a_step_that_was_removed_under_a_waiting_farmer_begins_its_dialogue_again(start: Start) -> None:
    talk = start(PLAN)
    talk.hears(topic="plan", size_m=SIZE)
    talk.state.frames[-1].step = "gone"
    assert "How big?" in talk.hears(answer="yes")
    assert talk.waiting == ("plan", "size")


def test_a_dialogue_that_was_removed_under_a_waiting_farmer_is_told(start: Start) -> None:
    talk = start(PLAN)
    talk.hears(topic="plan")
    talk.state.frames.append(state.Frame(dialogue="gone", version=1, step="one"))
    assert talk.hears(size_m=SIZE) == ["The questions have changed.", "Sure?"]


def test_a_waiting_farmer_whose_only_dialogue_was_removed_is_still_answered(start: Start) -> None:
    talk = start(PLAN)
    talk.state.frames = [state.Frame(dialogue="gone", version=1, step="one")]
    assert talk.hears() == ["The questions have changed.", "What?"]


def test_dialogues_that_lead_in_a_circle_end_the_turn(start: Start) -> None:
    circle = small("circle", "one:", "  then: two", "two:", "  then: one")
    with pytest.raises(DialogueCircle, match="circle"):
        start(circle).hears(topic="plan")


def test_a_text_with_a_fact_that_nobody_knows_is_a_fault_that_names_it(start: Start) -> None:
    nameless = small("hi", "one:", '  say: "Hi {farmer.name}"', "  then: end")
    with pytest.raises(Missing, match=r"dialogue hi, step one: farmer.name has no value"):
        start(nameless).hears(topic="plan")


def test_a_computation_without_its_input_is_a_fault_that_names_it(start: Start) -> None:
    text = small("sum", "one:", "  work_out:", "    - double: {n: bot.count}", "  say: Done.", "  then: end")
    assert start(text).hears(topic="plan") == ["Done."]
    world = SmallWorld()
    del world.facts["bot.count"]
    with pytest.raises(Missing, match="bot.count has no value"):
        start(text, world=world).hears(topic="plan")


def test_opening_a_dialogue_that_waits_below_begins_it_anew_and_only_once(start: Start) -> None:
    again = small(
        "again", "one:", "  say: Again.", "  then: open plan", topic="help", more="at_any_moment: true\n"
    )
    talk = start(PLAN, again)
    talk.hears(topic="plan", size_m=SIZE)
    assert talk.hears(topic="help") == ["Again.", "How big?"]
    assert [f.dialogue for f in talk.state.frames] == ["plan"]


def test_later_and_cancel_reach_the_world(start: Start) -> None:
    text = small(
        "times", "one:", "  cancel: [times]", "  later:", "    - {open: times, days: 4}", "  then: end"
    )
    talk = start(text)
    talk.hears(topic="plan")
    assert talk.world.done == [("cancel", "times"), ("later", "times", 4)]


def test_no_more_than_a_few_dialogues_wait(start: Start) -> None:
    others = [PLAN.replace("dialogue: plan", f"dialogue: p{n}") for n in range(6)]
    talk = start(PLAN, *others)
    for n in range(6):
        talk.opens(f"p{n}")
    assert [f.dialogue for f in talk.state.frames] == ["p2", "p3", "p4", "p5"]


def test_a_conversation_survives_the_store(start: Start) -> None:
    talk = start(PLAN)
    talk.hears(topic="plan", size_m=SIZE)
    talk.state.asked_at = datetime(2026, 3, 2, 6, tzinfo=UTC)
    assert state.parse(state.dump(talk.state)) == talk.state
    assert state.parse(None) == state.Conversation()
    with pytest.raises(msgspec.ValidationError):
        state.parse(b'{"frames": 3}')


def test_the_reader_is_told_what_is_expected(start: Start) -> None:
    talk = start(PLAN)
    assert talk.engine.expects(talk.state) == (None, ())
    talk.hears(topic="plan", size_m=SIZE)
    assert talk.engine.expects(talk.state) == ("yesno", ())
    talk.hears(answer="yes")
    assert talk.engine.expects(talk.state) == ("word", ("done", "back", "later"))


def test_a_farmer_who_names_the_kind_of_the_open_question_answers_it(start: Start) -> None:
    """`LUGHA kiswahili` while a language is asked for is the answer, not a new dialogue about language."""
    urgent = small(
        "mood",
        "one:",
        "  ask: Yes or no?",
        "  expect: yesno",
        "  then: two",
        "two:",
        "  say: So be it.",
        "  then: end",
        topic="help",
        more="at_any_moment: true\n",
    )
    talk = start(PLAN, urgent)
    talk.hears(topic="plan", size_m=SIZE)
    assert talk.hears(topic="help", answer="yes") == ["Go on?"]


def test_the_same_library_serves_many_conversations(start: Start, write: Callable[..., object]) -> None:
    library = read_library(write(PLAN), VOCABULARY)  # type: ignore[arg-type]
    one, two = Talk(library, SmallWorld()), Talk(library, SmallWorld())
    one.hears(topic="plan", size_m=SIZE)
    assert two.hears(topic="plan") == ["How big?"] and one.waiting == ("plan", "sure")


def test_a_dialogue_about_a_pile_that_is_gone_is_let_go(start: Start) -> None:
    talk = start(PLAN, CARE)
    talk.opens("care")
    talk.world.piles = []
    assert talk.hears(answer="yes") == ["What?"]
    assert talk.waiting is None
