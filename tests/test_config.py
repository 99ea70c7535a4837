"""The configuration: usable without a file; a mistake names file, line, field and what was expected."""

from __future__ import annotations

from datetime import time, timedelta
from pathlib import Path

import msgspec
import pytest

from bot.config import Config, Hours, read_config
from bot.datafile import BadFile

EXAMPLE = Path(__file__).parents[1] / "docs" / "example.toml"
REFERENCE = Path(__file__).parents[1] / "docs" / "configuration.md"


def read(tmp_path: Path, text: str) -> Config:
    path = tmp_path / "warmheap.toml"
    path.write_text(text)
    return read_config(path)


def test_no_file_is_needed() -> None:
    config = read_config(None)
    assert config == Config()
    assert config.timezone().key == "Etc/GMT-3"
    assert config.repeat_window == timedelta(minutes=2)
    assert config.retry_after == tuple(timedelta(seconds=s) for s in (5, 15, 60, 300, 900))


def test_the_example_of_the_documentation_is_valid_and_in_a_made_up_place() -> None:
    config = read_config(EXAMPLE)
    group = config.group("MILL1")
    assert group is not None
    assert (group.name, group.measures) == ("Milldale growers", {"bucket": 18.0, "wheelbarrow": 60.0})
    assert config.timezone(group.timezone).key == "Etc/GMT-3"
    assert config.group("mill1") == group
    assert config.group("nobody") is None
    assert config.group(None) is None


def test_paths_are_taken_from_the_folder_of_the_file(tmp_path: Path) -> None:
    config = read(tmp_path, 'database = "data/farm.db"\ngateways = ["harbour.toml", "/etc/hill.toml"]\n')
    assert config.database == str(tmp_path / "data/farm.db")
    assert config.gateways == (str(tmp_path / "harbour.toml"), "/etc/hill.toml")
    assert read(tmp_path, 'database = ":memory:"').database == ":memory:"


@pytest.mark.parametrize(
    ("text", "error"),
    [
        ('progamme = "X"', r"warmheap\.toml, line 1: progamme: Object contains unknown field `progamme`"),
        ('\nprogramme = ""', r"warmheap\.toml, line 2: programme: Expected `str` of length >= 1"),
        ("latitude = 91.0", r"line 1: latitude: Expected `float` <= 90"),
        ("latitude = true", r"line 1: latitude: Expected `float`, got `bool`"),
        ('default_timezone = "Mars/Base"', r"default_timezone: expected a time zone of the IANA .* got 'Mars/Base'"),
        ('default_timezone = "../etc/passwd"', r"default_timezone: expected a time zone"),
        ('default_region = "UK"', r"default_region: expected a country of two capital letters, got 'UK'"),
        ('[quiet_hours]\nstart = "9pm"\nend = "06:00"', r"line 2: quiet_hours\.start: Expected `str` matching"),
        ('[reminder_hours]\nstart = "05:00"\nend = "08:00"', r"line 1: reminder_hours: overlaps quiet_hours"),
        ('[reminder_hours]\nstart = "12:00"\nend = "08:00"', r"reminder_hours: the start must come before the end"),
        ("retry_after_s = []", r"retry_after_s: Expected `array` of length >= 1"),
        (
            '[[groups]]\ncode = "A1"\nname = "X"\n[[groups]]\ncode = "a1"\nname = "Y"',
            r"line 5: groups\[1\]\.code: stands twice",
        ),
        ('[[groups]]\ncode = "A-1"\nname = "X"', r"line 2: groups\[0\]\.code: Expected `str` matching"),
        ('[[groups]]\ncode = "A1"\nname = "X"\ntimezone = "Here"', r"line 4: groups\[0\]\.timezone: expected a time zone"),
        ('[[groups]]\ncode = "A1"\nname = "X"\n[groups.measures]\nbucket = 0', r"measures.*Expected `float` > 0"),
        ("programme = X", r"warmheap\.toml, line 1: not TOML"),
    ],
)  # fmt: skip
def test_mistakes(tmp_path: Path, text: str, error: str) -> None:
    with pytest.raises(BadFile, match=error):
        read(tmp_path, text)


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    with pytest.raises(BadFile, match=r"none\.toml: cannot be read"):
        read_config(tmp_path / "none.toml")
    (tmp_path / "latin.toml").write_bytes(b'programme = "caf\xe9"')
    with pytest.raises(BadFile, match=r"latin\.toml: cannot be read"):
        read_config(tmp_path / "latin.toml")


@pytest.mark.parametrize(
    ("start", "end", "inside", "outside"),
    [
        ("07:00", "09:30", ["07:00", "09:29"], ["06:59", "09:30"]),
        ("20:00", "06:30", ["20:00", "00:00", "06:29"], ["06:30", "19:59"]),
    ],
)  # fmt: skip
def test_hours_may_go_over_midnight(start: str, end: str, inside: list[str], outside: list[str]) -> None:
    hours = Hours(start=start, end=end)
    assert [hours.holds(time.fromisoformat(moment)) for moment in inside] == [True] * len(inside)
    assert [hours.holds(time.fromisoformat(moment)) for moment in outside] == [False] * len(outside)


@pytest.mark.parametrize(
    ("one", "other", "overlap"),
    [
        (("20:00", "06:30"), ("07:00", "09:30"), False), (("20:00", "07:01"), ("07:00", "09:30"), True),
        (("08:00", "09:00"), ("07:00", "09:30"), True), (("09:30", "10:00"), ("07:00", "09:30"), False),
        (("20:00", "06:30"), ("22:00", "23:00"), True),
    ],
)  # fmt: skip
def test_overlaps(one: tuple[str, str], other: tuple[str, str], overlap: bool) -> None:
    first, second = (Hours(start=start, end=end) for start, end in (one, other))
    assert first.overlaps(second) is second.overlaps(first) is overlap


def test_every_setting_is_documented() -> None:
    text = REFERENCE.read_text(encoding="utf-8")
    from bot.config import Group

    missing = [
        name for schema in (Config, Group) for name in schema.__struct_fields__ if f"`{name}`" not in text
    ]
    assert missing == []
    for field in msgspec.structs.fields(Config):
        if isinstance(field.default, (str, int, float)):
            assert str(field.default).removesuffix(".0") in text, field.name


def test_days_off_of_a_group_stand_for_the_programmes(tmp_path: Path) -> None:
    config = read(
        tmp_path,
        'days_off = ["friday"]\n[[groups]]\ncode = "AA"\nname = "A"\ndays_off = ["sunday", "monday"]\n'
        '[[groups]]\ncode = "BB"\nname = "B"\n[[groups]]\ncode = "CC"\nname = "C"\ndays_off = []\n',
    )
    assert [sorted(config.days_off_of(code)) for code in ("AA", "BB", "CC", None)] == [[0, 6], [4], [], [4]]


@pytest.mark.parametrize(
    "days", ['["someday"]', '["monday","tuesday","wednesday","thursday","friday","saturday","sunday"]']
)
def test_days_off_that_are_none_or_all_are_refused(tmp_path: Path, days: str) -> None:
    with pytest.raises(BadFile, match="days_off"):
        read(tmp_path, f"days_off = {days}\n")
