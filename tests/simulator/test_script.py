"""One line of a script: what it means, and what is refused with a reason."""

from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from simulator.script import DEFAULT_PHONE, Move, Rain, Say, ScriptError, parse_line


@pytest.mark.parametrize(
    ("line", "text"),
    [
        ("JOIN", "JOIN"),
        ("  two spaces stay  ", "  two spaces stay  "),
        ("=1+1", "=1+1"),
        ("2x2x2: goat", "2x2x2: goat"),
        ("+ 5 buckets", "+ 5 buckets"),
    ],
)
def test_a_plain_line_is_a_text_of_the_default_phone(line: str, text: str) -> None:
    assert parse_line(line) == Say(DEFAULT_PHONE, text)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("+447700900002: JOIN", Say("+447700900002", "JOIN")),
        ("+44 7700 900-002:JOIN", Say("+447700900002", "JOIN")),
        ("+447700900002:", Say("+447700900002", "")),
        ("+447700900002: @ 7d", Say("+447700900002", "@ 7d")),
        ("+447700900002: # one: two", Say("+447700900002", "# one: two")),
        ("+447700900002:  indented", Say("+447700900002", " indented")),
    ],
)
def test_a_line_may_name_its_phone(line: str, said: Say) -> None:
    assert parse_line(line) == said


@pytest.mark.parametrize("line", ["", "   ", "\t", "# a comment", "  # indented"])
def test_comments_and_empty_lines_do_nothing(line: str) -> None:
    assert parse_line(line) is None


@pytest.mark.parametrize(
    ("line", "hours"),
    [
        ("@ 7d", 168),
        ("@7d", 168),
        ("@ 36h", 36),
        ("@ 1d 12h", 36),
        ("@ 2w", 336),
        ("@ 0.5H", 0.5),
        ("@ 30m", 0.5),
        ("@ 0d", 0),
    ],
)
def test_the_clock_moves(line: str, hours: float) -> None:
    assert parse_line(line) == Move(timedelta(hours=hours))


@pytest.mark.parametrize(
    ("line", "rain"),
    [
        ("@ rain 12", Rain(12.0)),
        ("@ RAIN 12.5mm", Rain(12.5)),
        ("@ rain 0 mm", Rain(0.0)),
        ("@ rain 12 Kivuli", Rain(12.0, "Kivuli")),
        ("@ rain 12 mm Upper Kivuli", Rain(12.0, "Upper Kivuli")),
    ],
)
def test_it_rains(line: str, rain: Rain) -> None:
    assert parse_line(line) == rain


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ("@", "write '@ 7d'"),
        ("@ soon", "cannot follow '@ soon'"),
        ("@ -3d", "cannot follow '@ -3d'"),
        ("@ 7d and more", "cannot follow"),
        ("@ 1000000d", "0 hours to 3660 days"),
        ("@ " + "9" * 400 + "d", "0 hours to 3660 days"),
        ("@ rain", "cannot follow"),
        ("@ rain lots", "0 to 2000 mm, not 'lots'"),
        ("@ rain -1", "0 to 2000 mm"),
        ("@ rain nan", "0 to 2000 mm"),
        ("@ rain inf", "0 to 2000 mm"),
        ("@ rain 2001", "0 to 2000 mm"),
        ("+4477: hello", r"'\+4477' cannot be a phone number"),
        ("+12: hello", "is no phone number"),
        ("+999999999999: hello", "is no phone number"),
    ],
)
def test_what_cannot_be_followed_is_refused_with_a_reason(line: str, reason: str) -> None:
    with pytest.raises(ScriptError, match=reason):
        parse_line(line)


@settings(max_examples=300)
@given(st.text(alphabet=st.characters(codec="utf-8") | st.sampled_from("@#+:0123456789 dhwrain")))
def test_any_line_is_a_step_or_nothing_or_a_script_error(line: str) -> None:
    try:
        step = parse_line(line)
    except ScriptError as exc:
        assert str(exc)
        return
    assert step is None or isinstance(step, Say | Move | Rain)
