"""The model against measured and published points, by Mason's criteria; misses are listed and must still miss."""

from __future__ import annotations

import pytest

from bot.compost.errors import BadData
from bot.compost.pile_measured import Compared, compare, parse_measured

from .causes import DATA
from .piles import CONSTANTS

TEXT = (DATA / "pile_measured.toml").read_text(encoding="utf-8")
POINTS = parse_measured(TEXT)
# Known misses, with how far they may lie off. docs/science-pile.md says why.
KNOWN_MISSES = {
    "KIN-13": 30.0,  # [d] the rapid method calls compost finished earlier than our ripeness does
    "KIN-15c": 6.0,  # [C] a turning drum loses more heat than a heap
}
RESULTS = {result.id: result for result in compare(POINTS, CONSTANTS)}


@pytest.mark.parametrize("result", RESULTS.values(), ids=RESULTS)
def test_point(result: Compared) -> None:
    if result.id in KNOWN_MISSES:
        assert not result.met and abs(result.error) <= KNOWN_MISSES[result.id]
    else:
        assert result.met, (result.modelled, result.error)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [('"peak_c"', '"peak"', "unknown: 'peak'"), ("low = 63.5", "lower = 63.5", "unknown field")],
)
def test_bad_points_are_refused(old: str, new: str, message: str) -> None:
    with pytest.raises(BadData, match=message):
        parse_measured(TEXT.replace(old, new, 1))
