"""`python -m simulator talk` as a program sees it: what goes in, what comes out, with which exit code."""

import json
import os
import pty
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from simulator.__main__ import main

ROOT = Path(__file__).parents[2]
FARMER = "+447700900001"
OTHER = "+447700900002"


class Scripted:
    """Standard input from bytes."""

    def __init__(self, script: bytes) -> None:
        import io

        self.buffer = io.BytesIO(script)

    def isatty(self) -> bool:
        return False


@pytest.fixture
def talk(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Any:
    """Run a script; gives exit code, lines of output and standard error."""

    def run(script: str | bytes, *options: str) -> tuple[int, list[str], str]:
        raw = script.encode() if isinstance(script, str) else script
        monkeypatch.setattr(sys, "stdin", Scripted(raw))
        code = main(["talk", *options])
        shown = capsys.readouterr()
        return code, shown.out.splitlines(), shown.err

    return run


def test_plain_output_is_the_answers_a_line_each(talk: Any) -> None:
    code, lines, errors = talk("JOIN\n")
    assert code == 0
    assert errors == ""
    assert lines
    for line in lines:
        assert line.startswith(f"-> {FARMER} [")
        assert "GSM-7] " in line or "UCS-2] " in line


def test_json_output_has_every_message_in_order_with_every_key(talk: Any) -> None:
    _, lines, _ = talk(f"JOIN\n{OTHER}: HELP\n", "--json")
    messages = [json.loads(line) for line in lines]
    assert [one.get("from") for one in messages if "from" in one] == [FARMER, OTHER]
    asked, answered = messages[0], messages[1]
    assert set(asked) == {"at", "from", "text", "segments", "encoding", "why", "dialogue", "read"}
    assert asked["read"]["topic"] == "join"
    assert set(answered) == {"at", "to", "text", "segments", "encoding", "why", "dialogue"}
    assert answered["why"] == "reply"
    assert answered["segments"] >= 1
    assert answered["at"] == asked["at"] == "2026-03-02T06:00:00Z"


def test_plain_and_json_tell_the_same(talk: Any) -> None:
    script = f"JOIN\n@ 1w\n{OTHER}: HELP\n"
    _, plain, _ = talk(script)
    _, objects, _ = talk(script, "--json")
    sent = [json.loads(line) for line in objects if '"to"' in line]
    assert len(plain) == len(sent)
    for line, one in zip(plain, sent, strict=True):
        assert line.startswith(f"-> {one['to']} [{one['segments']} {one['encoding']}] ")


def test_the_clock_carries_on_from_line_to_line(talk: Any) -> None:
    _, lines, _ = talk("HELP\n@ 36h\nHELP\n@ 1d 12h\nHELP\n", "--json")
    asked = [json.loads(line)["at"] for line in lines if '"from"' in line]
    assert asked == ["2026-03-02T06:00:00Z", "2026-03-03T18:00:00Z", "2026-03-05T06:00:00Z"]


def test_the_same_text_twice_is_two_texts(talk: Any) -> None:
    _, lines, _ = talk("HELP\nHELP\n", "--json")
    assert [("from" if '"from"' in line else "to") for line in lines] in (
        ["from", "to"] * 2,
        ["from", "to", "to"] * 2,
    )


def test_each_answer_follows_its_text_when_many_phones_write_in_the_same_minute(talk: Any) -> None:
    phones = [f"+44770090000{digit}" for digit in (3, 1, 2, 1, 3)]
    _, lines, _ = talk("".join(f"{phone}: HELP\n" for phone in phones), "--json")
    messages = [json.loads(line) for line in lines]
    assert [one["from"] for one in messages if "from" in one] == phones
    holder = ""
    for one in messages:
        holder = one.get("from", holder)
        assert one.get("to", holder) == holder


def test_a_bad_line_is_named_and_ends_the_run_after_what_came_before(talk: Any) -> None:
    code, lines, errors = talk("# first\nHELP\n\n@ 7 fortnights\nHELP\n", "--json")
    assert code == 2
    assert errors.startswith("line 4: cannot follow '@ 7 fortnights'")
    assert sum('"from"' in line for line in lines) == 1


@pytest.mark.parametrize(
    ("raw", "text"),
    [
        (b"\xef\xbb\xbfHELP\r\n", "HELP"),
        (b"HELP", "HELP"),
        (b"\xff\xfe\x00\n", "\ufffd\ufffd\x00"),
        ("\u0645\u0631\u062d\u0628\u0627\n".encode(), "\u0645\u0631\u062d\u0628\u0627"),
        ("one\u2028two\x85\n".encode(), "one\u2028two\x85"),
    ],
)
def test_any_bytes_are_a_text(talk: Any, raw: bytes, text: str) -> None:
    code, lines, _ = talk(raw, "--json")
    assert code == 0
    assert json.loads(lines[0])["text"] == text
    assert '"to"' in lines[1]


def test_an_empty_script_says_nothing(talk: Any) -> None:
    assert talk("") == (0, [], "")


def test_a_database_file_keeps_farmers_and_time(talk: Any, tmp_path: Path) -> None:
    kept = str(tmp_path / "season.db")
    talk("HELP\n@ 3d\nHELP\n", "--db", kept)
    _, lines, _ = talk("HELP\n", "--db", kept, "--json")
    asked = json.loads(lines[0])
    assert asked["from"] == FARMER
    assert asked["at"] == "2026-03-05T06:00:00Z"
    assert sum('"from"' in line for line in lines) == 1, "the old messages are not printed again"


def test_a_file_that_is_no_database_is_refused(talk: Any, tmp_path: Path) -> None:
    odd = tmp_path / "letter.txt"
    odd.write_text("Dear aunt, the pile is warm. " * 40)
    code, lines, errors = talk("HELP\n", "--db", str(odd))
    assert (code, lines) == (2, [])
    assert "letter.txt" in errors
    assert odd.read_text().startswith("Dear aunt")


def test_an_unknown_language_is_refused(talk: Any) -> None:
    code, lines, errors = talk("HELP\n", "--lang", "xx")
    assert (code, lines) == (2, [])
    assert "'xx'" in errors


def test_the_language_of_a_phone_that_has_not_joined(talk: Any) -> None:
    _, english, _ = talk("qwxyz\n", "--lang", "en")
    _, swahili, _ = talk("qwxyz\n", "--lang", "sw")
    assert english and swahili and english != swahili


SEASON = f"""JOIN
@ rain 12
{OTHER}: how much manure for a pile 2x2x2
stick is cold
@ 2w
+447700900003: <b>=1+1</b>
@ 36h
"""


def run_module(*words: str, script: bytes = b"", **settings: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-m", "simulator", *words],
        input=script,
        capture_output=True,
        cwd=ROOT,
        env={**os.environ, **settings},
        timeout=60,
    )


def test_the_same_script_gives_the_same_bytes() -> None:
    """In two processes with other hash seeds, locales and zones, so that nothing depends on them."""
    first = run_module("talk", "--json", script=SEASON.encode(), PYTHONHASHSEED="1", TZ="Asia/Tokyo")
    second = run_module("talk", "--json", script=SEASON.encode(), PYTHONHASHSEED="2", TZ="UTC", LC_ALL="C")
    assert first.returncode == second.returncode == 0, first.stderr + second.stderr
    assert first.stdout == second.stdout
    assert first.stdout.count(b'"from"') == 4


def test_a_reader_that_has_seen_enough_is_no_error() -> None:
    command = f"'{sys.executable}' -m simulator talk --json | head -n 1"
    done = subprocess.run(
        command, shell=True, input=b"HELP\n" * 40, capture_output=True, cwd=ROOT, timeout=60
    )
    assert done.stdout.count(b"\n") == 1
    assert done.stderr == b""


def test_at_a_terminal_it_prompts_and_forgives() -> None:
    ours, theirs = pty.openpty()
    person = subprocess.Popen(
        [sys.executable, "-m", "simulator", "talk"], stdin=theirs, stdout=theirs, stderr=theirs, cwd=ROOT
    )
    os.close(theirs)
    try:
        os.write(ours, b"@ soon\nHELP\n\x04")
        shown = read_to_end(ours)
        assert person.wait(timeout=60) == 0, shown
    finally:
        person.kill()
        os.close(ours)
    assert "Try: JOIN" in shown
    assert "farmer> " in shown
    assert "cannot follow '@ soon'" in shown
    assert f"-> {FARMER} [" in shown


def read_to_end(descriptor: int) -> str:
    """All that a terminal shows until the other side closes it, which Linux reports as an error."""
    shown = b""
    try:
        while part := os.read(descriptor, 4096):
            shown += part
    except OSError:
        pass
    return shown.decode()
