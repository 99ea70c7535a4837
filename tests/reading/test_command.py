"""`python -m bot read` as others script against it."""

from __future__ import annotations

import io
import json
import subprocess
import sys
from pathlib import Path

from bot.commands.read import main

ROOT = Path(__file__).parents[2]
KEYS = {
    "text", "understood", "topic", "size_m", "materials", "forbidden", "feel", "celsius", "squeeze", "smell", "answer",
    "rain", "rain_mm", "area_m2", "ask_again",
}  # fmt: skip


def run(text: str, *argv: str) -> list[dict[str, object]]:
    out = io.StringIO()
    assert main(argv, io.StringIO(text), out) == 0
    return [json.loads(line) for line in out.getvalue().splitlines()]


def test_one_object_for_each_line_empty_lines_too() -> None:
    found = run("stick is cold\n\n  \nzzz\nSTOP", "--lang", "en", "--json")
    assert [each["text"] for each in found] == ["stick is cold", "", "  ", "zzz", "STOP"]
    assert all(set(each) == KEYS for each in found)
    assert [each["understood"] for each in found] == [True, False, False, False, True]
    assert [each["ask_again"] for each in found] == [False, True, True, True, False]


def test_no_input_gives_no_output() -> None:
    assert run("", "--lang", "sw") == []


def test_the_kind_that_is_expected_decides_a_short_answer() -> None:
    assert run("2 2 2", "--lang", "en", "--expect", "size")[0]["size_m"] == [2, 2, 2]
    assert run("2 2 2", "--lang", "en", "--expect", "yesno")[0]["size_m"] is None
    assert run("dry", "--lang", "en", "--expect", "squeeze")[0]["squeeze"] == "dry"


def test_a_material_is_told_with_its_amount_and_measure() -> None:
    found = run("3 buckets of goat manure", "--lang", "en", "--expect", "materials")[0]["materials"]
    assert found == [{"material": "goat_manure", "amount": 3.0, "measure": "bucket"}]


def test_the_program_takes_bytes_that_are_no_text_and_exits_0() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "bot", "read", "--lang", "en", "--expect", "size"],
        input=b"\xff\xfe\x00binary\n2x2x2\r\n\xe2\x80\n",
        capture_output=True,
        cwd=ROOT,
        timeout=60,
        check=False,
    )
    assert done.returncode == 0, done.stderr.decode()
    found = [json.loads(line) for line in done.stdout.splitlines()]
    assert len(found) == 3
    assert found[1]["size_m"] == [2, 2, 2]
