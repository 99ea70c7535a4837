"""The trainer's commands on a database that a bot has filled: questions, answer, explain, move, enrol."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
from phones import PHONE, Farm

from bot.__main__ import main
from bot.trainer import Trainer

OpenFarm = Callable[..., Farm]
NEW = "+447700900055"
PROFILE = """
name = "simulated-sms"
inbound = { phone = "form:from", text = "form:text" }
check = { kind = "shared_secret", place = "header:X-Secret", secret_env = "SECRET" }
[outbound]
url = "http://127.0.0.1:1/"
fields = { to = "{phone}", body = "{text}" }
"""


@pytest.fixture
def run(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Callable[..., str]:
    """Runs a command on the farm's database; gives what it printed, errors too, with the exit code last."""
    monkeypatch.setenv("SECRET", "s")
    (tmp_path / "sms.toml").write_text(PROFILE)
    config = tmp_path / "bot.toml"
    config.write_text(
        'database = "farm.db"\ngateways = ["sms.toml"]\n[[groups]]\ncode = "HILL7"\nname = "Green Hill"\n'
        'place = "Hill Side"\nlanguage = "sw"\n'
    )

    def runner(*argv: str) -> str:
        code = main([*argv, "--config", str(config)])
        told = capsys.readouterr()
        return f"{told.out}{told.err}{code}"

    return runner


def last_number(here: Farm, back: int = 0) -> str:
    row = here.bot.store.outbox.latest(1, back + 1)[back]
    return f"{row.line_id}-{row.out_no}"


def test_explain_tells_what_was_read_which_way_was_taken_and_from_what_it_was_worked_out(
    farm: OpenFarm, run: Callable[..., str]
) -> None:
    here = farm()
    here.builds()
    here.texts("cold", "dry")
    for text in ("1", "no", "1", "none"):
        if here.bot.pile_view(PHONE)["open_question"] is None:
            break
        here.texts(text)
    told = run("explain", last_number(here))
    assert "It answers the text of" in told and "because:" in told
    assert "worked out by diagnose from:" in told and "size: 2x2x2 m" in told and "squeeze: dry" in told
    assert "dialogues/cold.yaml" in told and told.endswith("0")


def test_explain_tells_of_a_reminder_when_it_was_set(farm: OpenFarm, run: Callable[..., str]) -> None:
    here = farm()
    here.builds()
    here.passes(days=8)
    told = run("explain", last_number(here))
    assert "the reminder care about pile A was due 2026-03-09" in told and "it was set 2026-03-02" in told
    assert "worked out by care from:" in told and "built_on: 2 Mar" in told and "care.week = 1" in told


def test_every_message_of_a_season_can_be_explained(farm: OpenFarm, run: Callable[..., str]) -> None:
    here = farm()
    here.builds()
    here.passes(days=4)
    here.texts(
        "cold", "wet", "undo", "no, I meant warm", "rain 20 mm", "status", "TRAINER why", "how much water"
    )
    here.passes(days=40)
    rows = here.bot.store.outbox.latest(1, 100)
    assert len(rows) > 20
    for row in rows:
        told = run("explain", f"1-{row.out_no}")
        assert ("It answers the text" in told) != ("Nobody wrote" in told), told
        assert told.endswith("0"), told


@pytest.mark.parametrize("number", ["1-9999", "7-1", "abc", ""])
def test_an_unknown_message_is_a_clear_error(farm: OpenFarm, run: Callable[..., str], number: str) -> None:
    farm().builds()
    told = run("explain", number)
    assert "there is no message" in told and told.endswith("2")


def test_explain_lists_the_numbers_of_a_phone(farm: OpenFarm, run: Callable[..., str]) -> None:
    here = farm()
    here.joins()
    assert f"{last_number(here)}" in run("explain", "--phone", PHONE)
    assert run("explain", "--phone", NEW).endswith("2")


def test_questions_come_with_farmer_and_pile_and_danger_first(
    farm: OpenFarm, run: Callable[..., str]
) -> None:
    here = farm()
    here.builds()
    here.texts("TRAINER may I add ash?")
    here.clock.move_by(timedelta(hours=1))
    here.texts("there is a fire, my hand is burnt")
    told = run("questions")
    assert told.index("DANGER") < told.index("farmer: may I add ash?")
    assert f"Amina, Green Hill, {PHONE}" in told and "pile A, working: 2x2x2 m, built on 2026-03-02" in told


def test_an_answer_reaches_the_farmer_and_the_thread_goes_on(farm: OpenFarm, run: Callable[..., str]) -> None:
    here = farm()
    here.builds()
    here.texts("TRAINER may I add ash?")
    leaves = Trainer(here.bot.turns).answer("1-1", "A little, when it smells sour.", here.clock.now())
    assert leaves == here.clock.now()
    here.bot.send_queued()
    assert here.sent()[-1].text == "Your trainer writes: A little, when it smells sour."
    assert here.bot.store.questions.open() == []
    here.texts("TRAINER how much is a little?")
    (again,) = here.bot.store.questions.open()
    thread = here.bot.store.questions.thread(1, again.question_no)
    assert [(e.who, e.text) for e in thread] == [
        ("farmer", "may I add ash?"),
        ("trainer", "A little, when it smells sour."),
        ("farmer", "how much is a little?"),
    ]
    assert here.texts("problem solved")[0].startswith("Good to hear")
    assert here.bot.store.questions.open() == []
    here.texts("TRAINER it smells again")
    (again,) = here.bot.store.questions.open()
    assert len(here.bot.store.questions.thread(1, again.question_no)) == 4, "reopened"
    here.passes(days=30)
    here.texts("problem solved")
    here.passes(days=30)
    here.texts("TRAINER something new")
    assert [q.text for q in here.bot.store.questions.open() if q.kind == "question"] == ["something new"]


def test_an_answer_written_at_night_waits_for_the_morning_or_for_the_farmer(farm: OpenFarm) -> None:
    here = farm()
    here.builds()
    here.texts("TRAINER may I add ash?")
    here.clock.move_by(timedelta(hours=14))  # 23:00
    Trainer(here.bot.turns).answer("1-1", "A little.", here.clock.now())
    here.bot.send_queued()
    assert "A little." not in here.sent()[-1].text
    here.clock.move_by(timedelta(hours=7, minutes=29))
    here.bot.send_queued()
    assert "A little." not in here.sent()[-1].text
    here.clock.move_by(timedelta(minutes=2))
    here.bot.send_queued()
    assert "A little." in here.sent()[-1].text


@pytest.mark.parametrize("argv", [("9-9", "text"), ("1-1", "  "), ("x", "text"), ("1-1", "a" * 900)])
def test_an_answer_that_cannot_be_sent_is_a_clear_error(
    farm: OpenFarm, run: Callable[..., str], argv: tuple[str, str]
) -> None:
    here = farm()
    here.builds()
    here.texts("TRAINER may I add ash?")
    assert run("answer", *argv).endswith("2")
    assert len(here.bot.store.questions.open()) == 1


def test_a_question_is_answered_once_and_not_after_stop(farm: OpenFarm, run: Callable[..., str]) -> None:
    here = farm()
    here.builds()
    here.texts("TRAINER one?")
    assert run("answer", "1-1", "Yes.").endswith("0")
    assert "answered or closed already" in run("answer", "1-1", "Yes.")
    here.texts("TRAINER two?", "STOP")
    assert "has sent STOP" in run("answer", "1-1", "Yes.")


def test_moving_to_a_new_number_takes_all_along(farm: OpenFarm, run: Callable[..., str]) -> None:
    here = farm()
    here.builds()
    assert run("move", PHONE, NEW).endswith("0")
    assert here.bot.pile_view(NEW)["piles"][0]["letter"] == "A"
    assert here.texts("hot", phone=NEW)[0].startswith("Noted.")


def test_moving_to_a_phone_in_use_overwrites_nobody(farm: OpenFarm, run: Callable[..., str]) -> None:
    here = farm()
    here.builds()
    here.texts("TRAINER one?", "warm")
    here.texts("JOIN", "English", "Juma", "Upper Field", "yes", "TRAINER two?", phone=NEW)
    assert run("move", PHONE, NEW).endswith("0")
    names = [f.name for f in here.bot.store.farmers.of_line(2)]
    assert names == ["Juma", "Amina"] and here.bot.store.farmers.of_line(1) == []
    assert sorted(q.text for q in here.bot.store.questions.open()) == ["one?", "two?"]
    assert [e.text for e in here.bot.store.questions.thread(2, 2)] == ["one?"]
    assert [r.value for r in here.bot.store.readings.latest(2, 2, "A")] == ["warm"]
    here.passes(days=5)
    assert [e.text.startswith("Amina") for e in here.sent(NEW, "reminder")] == [True]
    assert here.texts("hot", phone=PHONE)[0].startswith("Warmheap"), "the old phone is a stranger's"


def test_moving_says_what_is_not_clear(farm: OpenFarm, run: Callable[..., str]) -> None:
    here = farm()
    here.builds()
    here.texts("JOIN", "English", "amina", "Upper Field", "yes", phone=NEW)
    assert "amina" in run("move", PHONE, NEW).casefold() and here.bot.pile_view(PHONE)["piles"]
    assert run("move", PHONE, PHONE).endswith("2")
    assert "nobody is known there" in run("move", "+447700900077", NEW)
    here.texts("other person", "Juma", "English", "Upper Field", "yes")
    assert "known there: Amina, Juma" in run("move", PHONE, "+447700900066")
    assert run("move", PHONE, "+447700900066", "--name", "juma").endswith("0")
    assert here.bot.pile_view("+447700900066")["farmer"]["name"] == "Juma"


HEAD = "phone,name,place,language,group,consent\n"


def enrol(run: Callable[..., str], tmp_path: Path, rows: str) -> str:
    path = tmp_path / "list.csv"
    path.write_text(rows, encoding="utf-8")
    return run("enrol", str(path))


def test_enrolled_farmers_need_not_join(farm: OpenFarm, run: Callable[..., str], tmp_path: Path) -> None:
    here = farm()
    here.texts("hello", phone="+447700900012")
    told = enrol(
        run,
        tmp_path,
        HEAD + "+447700900011,Zawadi,,,hill7,2026-02-01\n+44 7700 900012,Otis,Mill,en,,2026-02-01\n",
    )
    assert told.endswith("0") and "Enrolled: 2" in told
    assert here.texts("plan", phone="+447700900012")[0].startswith("How long, wide and high")
    zawadi = here.bot.pile_view("+447700900011")["farmer"]
    assert (zawadi["language"], zawadi["place"], zawadi["group_code"]) == ("sw", "Hill Side", "HILL7")
    assert zawadi["consent_at"].startswith("2026-02-01")


def test_every_bad_row_is_named_and_nobody_is_enrolled(
    farm: OpenFarm, run: Callable[..., str], tmp_path: Path
) -> None:
    here = farm()
    rows = [
        "+447700900011,Zawadi,Mill,en,,2026-02-01",
        "12,Otis,Mill,en,,2026-02-01",
        "+447700900013,,Mill,en,,2026-02-01",
        "+447700900014,Pia,Mill,xx,,2026-02-01",
        "+447700900015,Ravi,Mill,en,NOGROUP,2026-02-01",
        "+447700900016,Sol,Mill,en,,yesterday",
        "+447700900017,Tam,Mill,en,,2999-01-01",
        "+447700900018,Una,Mill",
        "+447700900011,zawadi,Mill,en,,2026-02-01",
    ]
    told = enrol(run, tmp_path, HEAD + "\n".join(rows))
    assert told.endswith("2")
    for line in range(3, 11):
        assert f"line {line}: " in told, told
    assert "line 2: " not in told
    assert here.bot.store.lines.all() == []


def test_a_list_that_is_no_list_or_holds_known_farmers_is_refused(
    farm: OpenFarm, run: Callable[..., str], tmp_path: Path
) -> None:
    here = farm()
    here.joins()
    assert "line 1: the columns must be" in enrol(run, tmp_path, "name,phone\nA,1\n")
    assert "holds no farmer" in enrol(run, tmp_path, HEAD)
    assert "has joined" in enrol(
        run, tmp_path, HEAD + f"{NEW},Juma,,,,2026-02-01\n{PHONE},AMINA,,,,2026-02-01\n"
    )
    assert here.bot.pile_view(NEW) == {}
    assert run("enrol", str(tmp_path / "missing.csv")).endswith("2")
