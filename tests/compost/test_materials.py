from __future__ import annotations

import pytest

from bot import compost as core
from bot.coredata import load_catalogue, read_core_text

NAMES = [
    "maize_stalks",
    "maize_cobs",
    "rice_straw",
    "wheat_straw",
    "dry_grass",
    "green_grass",
    "dry_leaves",
    "green_leaves",
    "banana_leaves",
    "legume_leaves",
    "vegetable_scraps",
    "weeds",
    "sawdust",
    "coffee_pulp",
    "cassava_peels",
    "sugarcane_trash",
    "cattle_manure",
    "goat_manure",
    "sheep_manure",
    "poultry_manure",
    "pig_manure",
    "rabbit_manure",
    "ash",
    "eggshells",
    "topsoil",
    "termite_soil",
    "paper",
]


def test_all_materials_of_the_reader_are_there(catalogue: core.Catalogue) -> None:
    assert set(NAMES) == set(catalogue.materials)


@pytest.mark.parametrize("name", NAMES)
def test_figures_can_be(name: str, catalogue: core.Catalogue) -> None:
    material = catalogue[name]
    assert 0 <= material.carbon.typical < 0.60
    assert material.nitrogen.typical < 0.12
    # Plants 40 to 55 % carbon of dry, manures 35 to 48 %: common practice.
    if material.role in ("carbon", "nitrogen"):
        assert 0.37 <= material.carbon.typical <= 0.55
    if material.role == "manure":
        assert 0.35 <= material.carbon.typical <= 0.48
    for state in ("whole", "chopped", "trodden"):
        assert material.density_kg_m3(state) >= material.density_kg_m3("whole")  # type: ignore[arg-type]


def test_every_figure_has_a_known_mark(catalogue: core.Catalogue) -> None:
    marks = {
        catalogue.mark_of(getattr(m, field))
        for m in catalogue.materials.values()
        for field in ("moisture", "nitrogen", "carbon", "ash", "fast", "slow")
    }
    assert marks <= {"published", "from memory", "practice", "estimate"}
    assert "estimate" in marks


def test_unknown_material(catalogue: core.Catalogue) -> None:
    with pytest.raises(core.UnknownMaterial, match="'gold'") as caught:
        catalogue["gold"]
    assert caught.value.value == "gold"


def changed(old: str, new: str) -> str:
    text = read_core_text("materials.toml")
    assert old in text
    return text.replace(old, new, 1)


STALK_N = "nitrogen = { low = 0.006, typical = 0.007, high = 0.008"
BAD = [
    (changed('role = "carbon"', 'role = "magic"'), "maize_stalks", "role"),
    (changed(STALK_N, "nitrogen = { low = 0.009, typical = 0.007, high = 0.008"), "maize_stalks", "nitrogen"),
    (
        changed(STALK_N, 'nitrogen = { low = "x", typical = 0.007, high = 0.008'),
        "maize_stalks",
        "nitrogen.low",
    ),
    (changed(STALK_N, "nitrogen = { low = 0.006, typical = 0.007, high = nan"), "maize_stalks", "nitrogen"),
    (changed("typical = 0.455, high = 0.49", "typical = 0.7, high = 0.8"), "maize_stalks", "carbon"),
    (changed('high = 0.25, source = "cias"', 'high = 1.2, source = "cias"'), "maize_stalks", "moisture"),
    (
        changed('high = 0.25, source = "cias"', 'high = 0.25, source = "nobody"'),
        "maize_stalks",
        "moisture.source",
    ),
    (changed("density.whole = { low = 12,", "density.whole = { low = 0,"), "maize_stalks", "density.whole"),
    (changed('particle = "coarse"', 'particle = "coarse"\ncolour = "red"'), "maize_stalks", ""),
    (changed('serves = ["foundation", "vegetation", "cap"]', "serves = []"), "maize_stalks", "serves"),
    ("[stuff.x]\na = 1\n", "stuff", ""),
    ("materials = 3\n", "materials", ""),
    ("[materials]\nweeds = 3\n", "materials.weeds", ""),
    ("= nonsense", "file", ""),
]


@pytest.mark.parametrize(
    ("text", "entry", "field"), BAD, ids=[f"{e}-{f}-{i}" for i, (_, e, f) in enumerate(BAD)]
)
def test_a_bad_file_names_entry_and_field(text: str, entry: str, field: str) -> None:
    with pytest.raises(core.BadData) as caught:
        core.parse_materials(text)
    assert caught.value.entry == entry
    assert caught.value.field == field
    assert entry in str(caught.value)


LOCAL = """
[sources.ours]
title = "Training group's own weighing"
table = "made up for this test"
mark = "local"
[materials.weeds]
role = "nitrogen"
serves = ["vegetation"]
particle = "fine"
structure = "mats"
usual_state = "whole"
moisture = { low = 0.5, typical = 0.6, high = 0.7, source = "ours" }
nitrogen = { low = 0.02, typical = 0.03, high = 0.04, source = "ours" }
carbon = { low = 0.35, typical = 0.40, high = 0.45, source = "ours" }
ash = { low = 0.1, typical = 0.1, high = 0.2, source = "estimate" }
fast = { low = 0.3, typical = 0.4, high = 0.5, source = "estimate" }
slow = { low = 0.2, typical = 0.3, high = 0.4, source = "estimate" }
density.whole = { low = 90, typical = 100, high = 120, source = "ours" }
"""


def test_a_local_file_overrides_one_entry() -> None:
    base = load_catalogue()
    local = core.parse_materials(LOCAL, base)
    assert local["weeds"].nitrogen.typical == 0.03
    assert local.mark_of(local["weeds"].nitrogen) == "local"
    assert local["maize_stalks"] is base["maize_stalks"]
    assert base["weeds"].nitrogen.typical == 0.020
