"""Rain told by a trainer or a weather file."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest

from bot import Config, HandClock, SystemClock, open_bot
from bot.commands.rain import main
from bot.datafile import BadFile
from bot.weather import RainDay, read_weather

TODAY = date(2026, 3, 9)


def weather(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "days.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_weather_file(tmp_path: Path) -> None:
    path = weather(tmp_path, "place,day,mm\nGreen Hill,2026-03-08,12.5\n,2026-03-09,0\n")
    assert read_weather(path, TODAY) == [
        RainDay("Green Hill", date(2026, 3, 8), 12.5), RainDay("", date(2026, 3, 9), 0.0)
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("row", "problem"),
    [
        ("Green Hill,8 March,3", "line 3: day: '8 March' is no day"), ("Green Hill,2026-03-10,3", "lies in the future"),
        ("Green Hill,2026-03-08,wet", "line 3: mm: 'wet' is no number"), ("Green Hill,2026-03-08,-1", "0 to 2000 mm"),
        ("Green Hill,2026-03-08,nan", "0 to 2000 mm"), ("Green Hill,2026-03-08", "is no number"),
    ],
)  # fmt: skip
def test_a_bad_row_is_named(tmp_path: Path, row: str, problem: str) -> None:
    path = weather(tmp_path, f"place,day,mm\n,2026-03-01,1\n{row}\n")
    with pytest.raises(BadFile, match=problem):
        read_weather(path, TODAY)


def test_a_file_without_its_columns_or_that_is_no_text(tmp_path: Path) -> None:
    with pytest.raises(BadFile, match="place, day, mm"):
        read_weather(weather(tmp_path, "where,when\n"), TODAY)
    (tmp_path / "days.csv").write_bytes(b"place,day,mm\n\xff\xfe")
    with pytest.raises(BadFile, match="cannot be read"):
        read_weather(tmp_path / "days.csv", TODAY)


def test_the_command_keeps_rain_once_however_often_it_is_run(tmp_path: Path) -> None:
    config = tmp_path / "config.toml"
    config.write_text('database = "farm.db"\n', encoding="utf-8")
    day = SystemClock().now().date() - timedelta(days=2)
    path = weather(tmp_path, f"place,day,mm\nGreen Hill,{day},7\n")
    for _ in range(2):
        assert main(["--file", str(path), "--config", str(config)]) == 0
    bot = open_bot(Config(database=str(tmp_path / "farm.db")), HandClock(SystemClock().now()))
    assert bot.store.rain.total_mm("green  hill", day) == 7
    bot.close()


def test_a_command_without_rain_or_with_impossible_rain_keeps_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    config = tmp_path / "config.toml"
    config.write_text('database = "farm.db"\n', encoding="utf-8")
    assert main(["--config", str(config)]) == 2
    assert main(["99999", "--config", str(config)]) == 2
    assert "0 to 2000 mm" in capsys.readouterr().err
