"""Mixture moisture, C:N and water."""

from __future__ import annotations

from bot import compost as core
from bot.checks import Check

CORNELL = "Cornell Waste Management Institute, Science and Engineering of composting, 1996"
GRASS = core.simple_material("grass", moisture=0.77, carbon=0.45, nitrogen=0.024, density_kg_m3=1.0)
LEAVES = core.simple_material("leaves", moisture=0.35, carbon=0.50, nitrogen=0.0075, density_kg_m3=1.0)
GRASS_10_KG = core.mix_of([core.Part(GRASS, 10.0)])
HEN, STRAW = (0.69, 0.48, 0.08), (0.12, 0.56, 0.007)


def _leaves_for_goal() -> float:
    """Leaves that take 10 kg of grass to 60 %, with 1 kg of leaves filling 1 m3 here."""
    return core.addition_for_moisture(GRASS_10_KG, LEAVES)


def _hen_and_straw() -> float:
    moisture, carbon, nitrogen = zip(HEN, STRAW, strict=True)
    return core.mix_cn([1.0, 1.0], moisture, carbon, nitrogen)


def _refuses_wetter() -> float:
    """Adding a wetter material never dries a mix: the core answers infinity, not a negative mass."""
    wetter = core.simple_material("soaked", moisture=0.85, carbon=0.45, nitrogen=0.02, density_kg_m3=1.0)
    return float(core.addition_for_moisture(GRASS_10_KG, wetter) == float("inf"))


ROWS = (
    Check("MIX-01", "moisture by oven drying, 10 g to 2.3 g", f"{CORNELL}, moisture page",
          "published, restated", 0.77, 0.005, "kg/kg", lambda: core.dried_moisture(10.0, 2.3)),
    Check("MIX-02", "leaves (35 %) for 10 kg grass (77 %), goal 60 %", f"{CORNELL}, moisture page",
          "published, restated", 6.8, 0.05, "kg", _leaves_for_goal),
    Check("MIX-03", "a wetter material as a way to dry a mix is refused", f"{CORNELL}, moisture page",
          "published, restated", 1.0, 0.0, "yes", _refuses_wetter),
    Check("MIX-04", "moisture of that mix", f"{CORNELL}, formula page", "definition", 0.60, 0.0005, "kg/kg",
          lambda: core.mix_moisture([10.0, 6.8], [0.77, 0.35])),
    Check("MIX-06", "C:N of 10 kg grass and 6.8 kg leaves", f"{CORNELL}, C/N page", "from memory", 36.73,
          0.05, "-", lambda: core.mix_cn([10, 6.8], [0.77, 0.35], [0.45, 0.50], [0.024, 0.0075])),
    Check("MIX-07", "leaves for C:N 30 with 10 kg grass", f"{CORNELL}, C/N page", "from memory", 3.5, 0.05,
          "kg", lambda: core.amount_for_cn(GRASS_10_KG, LEAVES, 30.0)),
    Check("MIX-10", "water for 100 kg at 40 %, goal 60 %", "mass balance", "definition", 50.0, 0.01, "kg",
          lambda: core.water_to_add_kg(100.0, 0.40, 0.60)),
    Check("MIX-11", "hen manure and straw by dry mass, not by averaged ratios",
          "definition, NRAES-54 1992 Table A.1 " "averages", "from memory", 20.7, 0.05, "-", _hen_and_straw),
)  # fmt: skip
