"""One inbound message, one transaction, one sane reply: repeats, crashes, threads, order, hostile texts."""

from __future__ import annotations

import threading
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest
from phones import PHONE, Farm

from bot import Config, HandClock, Inbound, SimulatedGateway, open_bot
from bot.store import StoreBusy

OpenFarm = Callable[..., Farm]
Patch = pytest.MonkeyPatch


def counts(here: Farm) -> dict[str, int]:
    tables = (
        "lines",
        "farmers",
        "piles",
        "inbox",
        "outbox",
        "tasks",
        "readings",
        "questions",
        "conversations",
    )
    return {t: here.bot.store._db.rows(f"SELECT count(*) FROM {t}")[0][0] for t in tables}  # noqa: S608


def test_ten_copies_of_a_delivery_are_answered_once(farm: OpenFarm) -> None:
    here = farm()
    inbound = here.inbound("JOIN")
    receipts = [here.bot.receive(inbound) for _ in range(10)]
    here.bot.send_queued()
    assert [r.repeated for r in receipts] == [False] + [True] * 9
    assert len({r.in_no for r in receipts}) == 1
    assert len(here.sent()) == 1


def test_copies_without_a_message_id_are_known_by_their_content_for_a_while(farm: OpenFarm) -> None:
    here = farm(repeat_window_s=120.0)
    at = here.clock.now()
    for _ in range(10):
        here.receive("JOIN", gateway_id=None, sent_at=at)
    here.bot.send_queued()
    assert len(here.sent()) == 1
    here.clock.move_by(timedelta(seconds=121))
    here.receive("JOIN", gateway_id=None, sent_at=at)
    here.bot.send_queued()
    assert len(here.sent()) == 2


def test_a_copy_that_comes_weeks_later_is_still_known(farm: OpenFarm) -> None:
    here = farm()
    inbound = here.inbound("JOIN")
    here.bot.receive(inbound)
    here.clock.move_by(timedelta(days=40))
    assert here.bot.receive(inbound).repeated


def test_ten_threads_with_one_delivery_get_one_answer(farm: OpenFarm) -> None:
    here = farm()
    inbound = here.inbound("JOIN")
    receipts = in_threads(10, lambda _: here.bot.receive(inbound))
    here.bot.send_queued()
    assert sorted(r.repeated for r in receipts) == [False] + [True] * 9
    assert len(here.sent()) == 1


def test_one_phone_that_sends_ten_texts_at_once_gets_ten_answers_in_a_sound_state(farm: OpenFarm) -> None:
    here = farm()
    here.joins()
    before = len(here.log())
    texts = [here.inbound(f"how much manure for {n}x2x2") for n in range(1, 11)]
    receipts = in_threads(10, lambda n: here.bot.receive(texts[n]))
    here.bot.send_queued()
    assert len({r.in_no for r in receipts}) == 10
    answers = [e.text for e in here.log()[before:] if e.direction == "out"]
    assert len(answers) == 10
    assert {a.split(":")[0] for a in answers} == {f"{n}x2x2 m" for n in range(1, 11)}
    assert here.texts("STATUS")


def in_threads(number: int, work: Callable[[int], object]) -> list:  # type: ignore[type-arg]
    results: list[object] = []
    start = threading.Barrier(number)

    def run(n: int) -> None:
        start.wait()
        results.append(work(n))

    threads = [threading.Thread(target=run, args=(n,)) for n in range(number)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)
    assert len(results) == number, "a thread did not come to its end"
    return results


class PowerCut(BaseException):
    """Ends the process, as far as the bot can tell: nothing may catch it and go on."""


@pytest.mark.parametrize("where", ["engine", "outbox", "conversation"])
def test_a_crash_in_the_middle_leaves_nothing_half_done(
    farm: OpenFarm, monkeypatch: Patch, where: str
) -> None:
    here = farm()
    here.builds()
    before, transcript = counts(here), here.log()
    victim, name = {
        "engine": (here.bot.engine, "take"),
        "outbox": (here.bot.store.outbox, "queue"),
        "conversation": (here.bot.store.conversations, "save"),
    }[where]

    def crash(*_: object, **__: object) -> None:
        raise PowerCut("the power went")

    with monkeypatch.context() as patched:
        patched.setattr(victim, name, crash)
        inbound = here.inbound("the stick is hot")
        with pytest.raises(PowerCut, match="the power went"):
            here.bot.receive(inbound)
    assert counts(here) == before and here.log() == transcript
    assert not here.bot.receive(inbound).repeated, "the gateway sends it again, and it is taken"
    here.bot.send_queued()
    assert here.sent()[-1].text.startswith("Noted. Hot is good")


def test_a_fault_of_ours_still_gets_an_answer_and_the_trainer_is_told(
    farm: OpenFarm, monkeypatch: Patch
) -> None:
    here = farm()
    here.builds()
    questions = len(here.bot.store.questions.open())
    with monkeypatch.context() as patched:

        def fault(*_: object) -> None:
            raise LookupError("a rule without a value")

        patched.setattr(here.bot.engine, "take", fault)
        answers = here.texts("the stick is hot")
    assert len(answers) == 1 and answers[0].startswith("Sorry")
    assert len(here.bot.store.questions.open()) == questions + 1
    assert here.texts("STATUS")[0].startswith("Your pile ")


def test_a_task_that_fails_is_dropped_and_the_others_run(farm: OpenFarm, monkeypatch: Patch) -> None:
    here = farm()
    here.builds()
    here.builds("+447700900002")
    take = here.bot.engine.open

    def fault(talk, dialogue, world, pile, **more):  # type: ignore[no-untyped-def]
        if world.line.phone == PHONE:
            raise LookupError("a rule without a value")
        return take(talk, dialogue, world, pile, **more)

    monkeypatch.setattr(here.bot.engine, "open", fault)
    here.passes(days=5)
    assert not here.sent(why="reminder")
    assert len(here.sent("+447700900002", "reminder")) == 1


def test_a_locked_database_is_busy_and_keeps_nothing(farm: OpenFarm) -> None:
    here = farm(busy_timeout_s=0.05)
    here.joins()
    before = counts(here)
    inbound = here.inbound("STATUS")
    other = open_bot(here.config, HandClock(here.clock.now()))
    try:
        with other.store.transaction(), pytest.raises(StoreBusy):
            here.bot.receive(inbound)
    finally:
        other.close()
    assert counts(here) == before
    assert not here.bot.receive(inbound).repeated


def test_a_stop_that_comes_late_does_not_undo_a_newer_start(farm: OpenFarm) -> None:
    here = farm()
    here.joins()
    at = here.clock.now()
    here.receive("STOP", sent_at=at - timedelta(minutes=3))
    here.receive("START", sent_at=at)
    here.receive("STOP", sent_at=at - timedelta(minutes=2))
    here.bot.send_queued()
    said = [e.text for e in here.sent()]
    assert here.bot.pile_view(PHONE)["line"] == "open"
    assert sum("no more messages" in text for text in said) <= 1
    assert "welcome back" in said[-1]


def test_the_gateway_may_deliver_stop_before_an_older_question(farm: OpenFarm) -> None:
    here = farm()
    here.joins()
    at = here.clock.now()
    here.receive("STOP", sent_at=at)
    here.receive("how much manure for 2x2x2", sent_at=at - timedelta(minutes=1))
    here.bot.send_queued()
    assert "no more messages" in here.sent()[-1].text
    assert [e.state for e in here.log() if e.direction == "out"][-1] == "sent"


def test_an_unknown_gateway_time_is_the_time_of_arrival(farm: OpenFarm) -> None:
    here = farm()
    here.receive("STOP", sent_at=None)
    assert here.bot.pile_view(PHONE)["line"] == "stopped"


HOSTILE = {
    "empty": "",
    "spaces": "   \n\t ",
    "long": "manure " * 143,
    "one long word": "a" * 1000,
    "emoji": "🐄🔥💩",
    "binary": "".join(map(chr, range(256))),
    "lone surrogate": "hello \ud83d",
    "right to left": "كم من السماد ٢×٢×٢",
    "overridden": "\u202e2x2x2\u202c \u200bmanure",
    "sql": "'; DROP TABLE farmers; --",
    "html": "<script>alert(1)</script>",
    "formula": '=HYPERLINK("http://example.com","x")',
    "format": "{farmer.name} %s {0} {message.x}",
    "nul": "PLAN\x002x2x2",
    "number": "9" * 400,
    "huge power": "1e9999",
}
STATES: dict[str, tuple[str, ...]] = {
    "stranger": (),
    "joining": ("JOIN", "English"),
    "joined": ("JOIN", "English", "Amina", "Green Hill", "yes"),
    "size": ("JOIN", "English", "Amina", "Green Hill", "yes", "plan"),
    "materials": ("JOIN", "English", "Amina", "Green Hill", "yes", "plan 2x2x2"),
    "measure": ("JOIN", "English", "Amina", "Green Hill", "yes", "plan 2x2x2", "maize stalks, goat manure"),
}


@pytest.mark.parametrize("state", STATES)
def test_any_text_in_any_state_gets_one_sane_reply(farm: OpenFarm, state: str) -> None:
    here = farm()
    for n, (name, text) in enumerate(HOSTILE.items()):
        phone = f"+4477009001{n:02d}"
        if STATES[state]:
            here.texts(*STATES[state], phone=phone)
        answers = here.texts(text, phone=phone)
        # Who writes in another language is asked once whether to go on in it, in a message of that script.
        assert len(answers) == 1 or (name, len(answers)) == ("right to left", 2), (name, answers)
        assert 10 < len(answers[0]) <= 306, (name, answers)
        assert name == "format" or "{" not in answers[0], (name, answers)
        assert "None" not in answers[0], (name, answers)
    assert here.bot.store._db.rows("SELECT count(*) FROM farmers")[0][0] == len(HOSTILE)


@pytest.mark.parametrize("size", ["0x0x0", "-3x2x2", "20x20x20", "1e9x2x2", "2x2x20 m", "0.01 x 0.01 x 0.01"])
def test_a_size_that_cannot_be_is_refused_politely_and_asked_again(farm: OpenFarm, size: str) -> None:
    here = farm()
    here.joins()
    answers = " ".join(here.texts("PLAN", size))
    assert "metres" in answers or "I can count for piles" in answers, answers
    assert "bring about" not in answers
    assert "What do you have?" in " ".join(here.texts("2x2x2"))


@pytest.mark.parametrize("size", ["0", "-3", "20 m", "1e9"])
def test_a_single_number_is_no_size(farm: OpenFarm, size: str) -> None:
    here = farm()
    here.joins()
    answers = here.texts("PLAN", size)
    assert len(answers) == 1 and "metres" in answers[0], answers


def test_a_name_of_markup_goes_into_messages_as_plain_text_only(farm: OpenFarm) -> None:
    here = farm()
    here.texts("JOIN", "English")
    answer = here.texts("<b>{farmer.place}</b>")[0]
    assert answer.startswith("b farmer.place b, in which village")


def test_the_transcript_tells_what_was_read_and_why_each_message_was_sent(farm: OpenFarm) -> None:
    here = farm()
    here.builds()
    here.passes(days=5)
    inbound = [e for e in here.log() if e.direction == "in"]
    assert inbound[0].read is not None and inbound[0].read["topic"] == "join"
    assert {e.why for e in here.log() if e.direction == "out"} == {"reply", "reminder"}
    assert all(e.segments and e.encoding for e in here.log() if e.direction == "out")


def test_the_trainer_gets_the_question_with_the_state_of_the_pile(farm: OpenFarm) -> None:
    here = farm()
    here.builds()
    here.texts("warm")
    here.texts("TRAINER may I add ash?")
    (question,) = here.bot.store.questions.open()
    assert question.text == "may I add ash?" and question.letter == "A"
    assert question.snapshot["stage"] == "working" and question.snapshot["facts"]["size"] == [2.0, 2.0, 2.0]
    assert question.snapshot["readings"][0]["value"] == "warm"


@pytest.mark.parametrize(
    ("text", "value", "celsius"),
    [("58C", "hot", 58.0), ("140F", "hot", 60.0), ("80C", "too_hot", 80.0), ("stick is warm", "warm", None)],
)
def test_a_reading_is_stored(farm: OpenFarm, text: str, value: str, celsius: float | None) -> None:
    here = farm()
    here.builds()
    here.texts(text)
    (reading,) = here.bot.store.readings.latest(1, 1, "A", kind="feel")
    assert (reading.value, reading.celsius) == (value, celsius)


def test_refusing_forgets_name_and_place(farm: OpenFarm) -> None:
    here = farm()
    here.texts("JOIN", "English", "Amina", "Green Hill", "no")
    farmer = here.bot.pile_view(PHONE)["farmer"]
    assert farmer["name"] is None and farmer["place"] is None and farmer["consent_at"] is None


def test_a_bot_that_is_opened_again_goes_on_where_it_was(farm: OpenFarm) -> None:
    here = farm()
    here.joins()
    here.texts("plan 2x2x2")
    again = open_bot(here.config, here.clock)
    try:
        again.receive(here.inbound("maize stalks, goat manure"))
        again.send_queued()
    finally:
        again.close()
    assert here.sent()[-1].text.startswith("What will you carry it in?")


def test_an_unknown_phone_has_no_view(farm: OpenFarm) -> None:
    assert farm().bot.pile_view("+447700900999") == {}


def test_rain_that_cannot_be_is_refused(farm: OpenFarm) -> None:
    with pytest.raises(ValueError, match="rain"):
        farm().bot.report_rain(-1)


def test_inbound_is_taken_as_the_gateway_gives_it(farm: OpenFarm) -> None:
    here = farm()
    receipt = here.bot.receive(Inbound(gateway="simulated", phone=PHONE, text="HELP"))
    assert not receipt.repeated and receipt.in_no == 1


def test_a_fault_of_ours_still_answers_and_tells_the_trainer(farm: OpenFarm, monkeypatch: Patch) -> None:
    here = farm()
    here.builds()

    def fails(*_: object, **__: object) -> None:
        raise ValueError("a computation has a hole")

    with monkeypatch.context() as patched:
        patched.setattr(here.bot.engine, "take", fails)
        here.bot.receive(here.inbound("the stick is hot"))
    here.bot.send_queued()
    assert "TRAINER" in here.log()[-1].text
    assert [question.text for question in here.bot.store.questions.open()] == ["the stick is hot"]


def test_a_chat_gateway_gets_long_messages_with_every_letter_and_sms_do_not() -> None:
    name = "João Muñoz-Çelik"
    answers = {}
    for chat in (False, True):
        clock = HandClock(datetime(2026, 3, 2, 9, 0, tzinfo=UTC))
        bot = open_bot(
            Config(database=":memory:", languages=("en", "pt")), clock, [SimulatedGateway(chat=chat)]
        )
        for text in ("JOIN", "Português", name, "Nampula", "sim", "plano 2x2x2"):
            clock.move_by(timedelta(minutes=5))
            bot.receive(Inbound(gateway="simulated", phone=PHONE, text=text, sent_at=clock.now()))
        answers[chat] = [entry for entry in bot.transcript() if entry.direction == "out"]
        bot.close()
    sms, chats = answers[False], answers[True]
    assert all(entry.encoding == "GSM-7" for entry in sms if entry.segments > 1)
    assert any("ã" in entry.text and len(entry.text) > 100 for entry in chats)
    assert not any("ã" in entry.text for entry in sms if len(entry.text) > 70)
