"""`python -m bot plots`."""

from __future__ import annotations

import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from bot.commands import plots


def test_draws_every_plot_and_prints_the_comparison(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert plots.main(["--to", str(tmp_path / "new")]) == 0
    drawn = {file.stem: ET.parse(file).getroot() for file in (tmp_path / "new").glob("*.svg")}
    assert set(drawn) == set(plots.PLOTS)
    text = "".join(drawn["pile-temperature"].itertext())
    assert "never turned" in text and "core temperature" in text
    printed = capsys.readouterr().out
    assert "KIN-15c" in printed and "MISSED" in printed and "met" in printed


def test_the_plots_of_the_page_are_there() -> None:
    page = Path(__file__).parents[2] / "docs"
    text = (page / "science-pile.md").read_text(encoding="utf-8")
    for name in plots.PLOTS:
        assert f"plots/{name}.svg" in text and (page / "plots" / f"{name}.svg").exists()


def test_says_what_is_missing(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setitem(sys.modules, "matplotlib", None)
    assert plots.main([]) == 2
    assert "needs matplotlib" in capsys.readouterr().err
