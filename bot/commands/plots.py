"""`python -m bot plots`: the pictures of docs/science-pile.md, and the model beside measured points."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bot import compost as core
from bot.coredata import load_catalogue, load_pile_constants, load_pile_measured

if TYPE_CHECKING:
    from matplotlib.axes import Axes

DAYS = 120
GOOD = core.Setup(side_m=2.0, turn_every=7, days=DAYS)
CURVES = {
    "2 m, balanced, turned weekly": (GOOD, True),
    "the same, never turned": (core.Setup(side_m=2.0, turn_every=0, days=DAYS), True),
    "1 m, turned weekly": (core.Setup(side_m=1.0, turn_every=7, days=DAYS), True),
    "0.5 m, turned weekly": (core.Setup(side_m=0.5, turn_every=7, days=DAYS), True),
    "2 m, built dry, never watered": (
        core.Setup(side_m=2.0, turn_every=0, days=DAYS, moisture=0.25, density=200.0),
        False,
    ),
}
VEGETATION = ("maize_stalks", "dry_grass", "wheat_straw", "dry_leaves")


def main(argv: Sequence[str]) -> int:
    """Write the plots and print the comparison; 2 without matplotlib, which only developers need."""
    parser = argparse.ArgumentParser(
        prog="python -m bot plots", description="Draw the plots of the science pages."
    )
    parser.add_argument("--to", type=Path, default=Path("docs") / "plots", help="folder (docs/plots)")
    folder: Path = parser.parse_args(argv).to
    try:
        import matplotlib
    except ImportError:
        print(
            "plots: needs matplotlib: run `make lint` once, or pip install -r requirements-dev.lock",
            file=sys.stderr,
        )
        return 2
    matplotlib.use("Agg")
    # Same input, same file: no random ids.
    matplotlib.rcParams.update({"svg.hashsalt": "warmheap", "svg.fonttype": "none", "font.size": 10})
    folder.mkdir(parents=True, exist_ok=True)
    constants = load_pile_constants()
    for name, draw in PLOTS.items():
        _save(folder / f"{name}.svg", draw, constants)
        print(folder / f"{name}.svg")
    print(as_table(core.compare(load_pile_measured(), constants)))
    return 0


def as_table(compared: Sequence[core.Compared]) -> str:
    """The model beside the measured points, one a line."""
    lines = ["id        quantity       published      model   outside by  by Mason's criteria"]
    for row in compared:
        point = row.measured
        span = f"{point.low:g}" if point.low == point.high else f"{point.low:g}-{point.high:g}"
        met = "met" if row.met else f"MISSED (within {point.within:g})"
        lines.append(
            f"{row.id:9} {point.quantity:14} {span:14} {row.modelled:<7.1f} {row.error:<+11.1f} {met}"
        )
    return "\n".join(lines)


def _save(path: Path, draw: Any, constants: core.PileConstants) -> None:
    from matplotlib import pyplot

    figure, axes = pyplot.subplots(figsize=(8, 4.5), layout="constrained")
    draw(axes, constants)
    axes.grid(alpha=0.3)
    figure.savefig(path, metadata={"Date": None})
    pyplot.close(figure)


def temperatures(axes: Axes, constants: core.PileConstants) -> None:
    """Core temperature of good, unturned, small and dry piles."""
    for label, (setup, cared) in CURVES.items():
        if cared:
            course = core.run_setup(setup, constants)
        else:
            course = core.simulate(core.cube(setup, constants), constants, setup.days)
        axes.plot(course.core_c, label=label)
    axes.axhspan(55, 65, alpha=0.08, color="tab:red")
    axes.set(xlabel="days", ylabel="core temperature, C", xlim=(0, DAYS), ylim=(15, 80))
    axes.legend(fontsize=8)


def band(axes: Axes, constants: core.PileConstants) -> None:
    """What is believed of a pile before and after two readings of the stick."""
    before = core.believe(core.cube(GOOD, constants), constants, DAYS, None, core.care(GOOD))
    after = before
    for day, word in ((3, "warm"), (10, "warm")):
        after = core.learn(after, core.Reading(day=day, kind="feel", word=word), day)
    for belief, label, colour in (
        (before, "as built", "tab:gray"),
        (after, "stick warm on days 3 and 10", "tab:orange"),
    ):
        low, middle, high = core.band(belief, "core_c")
        axes.fill_between(range(DAYS + 1), low, high, alpha=0.25, color=colour)
        axes.plot(middle, color=colour, label=label)
    axes.set(xlabel="days", ylabel="core temperature, C (middle, and four in five piles)", xlim=(0, DAYS))
    axes.legend(fontsize=8)


def mixes(axes: Axes, constants: core.PileConstants) -> None:
    """C:N of vegetation with cattle manure, by volume."""
    catalogue = load_catalogue()
    parts = [share / 10 for share in range(2, 101)]
    for vegetation in VEGETATION:
        ratios = [
            core.mix_of(
                [core.Part(catalogue[vegetation], volume), core.Part(catalogue["cattle_manure"], 1.0)]
            ).cn_ratio
            for volume in parts
        ]
        axes.plot(parts, ratios, label=vegetation.replace("_", " "))
    axes.axhspan(25, 30, alpha=0.15, color="tab:green")
    axes.set(
        xlabel="volumes of vegetation to one of cattle manure", ylabel="C:N", xlim=(0, 10), ylim=(15, 60)
    )
    axes.legend(fontsize=8)


PLOTS = {"pile-temperature": temperatures, "pile-belief": band, "mix-cn": mixes}
