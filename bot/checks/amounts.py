"""Measures, and the layered heap of common practice."""

from __future__ import annotations

from bot import compost as core
from bot.checks import Check
from bot.coredata import load_catalogue, load_measures

PRACTICE = "common practice, no published source"
GOOD = core.Size(2.0, 2.0, 2.0)


def _litres(measure: str, material: str = "dry_leaves") -> float:
    return 1000 * core.capacity_m3(load_measures(), measure, load_catalogue()[material])


def _cart_of_soil_kg() -> float:
    soil = load_catalogue()["topsoil"]
    return core.to_m3(load_measures(), "oxcart", 1, soil) * soil.density_kg_m3()


def _plan() -> core.PilePlan:
    return core.manure_for(load_catalogue(), GOOD, "cattle_manure")


def _chopped_to_whole() -> float:
    stalks = load_catalogue()["maize_stalks"]
    return stalks.density_kg_m3("chopped") / stalks.density_kg_m3("whole")


def _manure_m3() -> float:
    return sum(portion.volume_m3 for portion in _plan().portions if portion.use == "feed")


ROWS = (
    Check("MEAS-02", "load of an ox cart, of soil", "FAO-INADES, Better Farming Series 14, 1977, The cart",
          "published", 1000, 0.5, "kg", _cart_of_soil_kg),
    Check("MEAS-03", "wheelbarrow struck to heaped holds a navvy barrow of 1/10 yd3",
          "Modern Buildings, vol. 6, " "c. 1906", "published", 76.5, 12, "L", lambda: _litres("wheelbarrow")),
    Check("MEAS-04", "wheelbarrow, struck", "Cement and Concrete Institute (South Africa) site guides",
          "from memory", 65, 0.5, "L", lambda: _litres("wheelbarrow")),
    Check("MEAS-05", "bucket, tin to plastic", "East African trade usage", "from memory", 19.1, 0.95, "L",
          lambda: _litres("bucket")),
    Check("PRACTICE-1", "rounds in a heap 2 x 2 x 2 m", PRACTICE, "common practice", 5, 0, "-",
          lambda: _plan().rounds),
    Check("PRACTICE-2", "vegetation in a round", PRACTICE, "common practice", 0.25, 0.02, "m",
          lambda: _plan().thickness.vegetation_m),
    Check("PRACTICE-3", "manure in a round", PRACTICE, "common practice", 0.05, 0.005, "m",
          lambda: _plan().thickness.feed_m),
    Check("PRACTICE-4", "foundation", PRACTICE, "common practice", 0.175, 0.025, "m",
          lambda: _plan().thickness.foundation_m),
    Check("PRACTICE-5", "chopped stalks against whole ones, by weight", PRACTICE, "common practice", 5, 0.01,
          "-", _chopped_to_whole),
    Check("PRACTICE-6", "manure in a heap 2 x 2 x 2 m: 5 rounds of 5 cm on 4 m2", PRACTICE,
          "common practice", 1.0, 0.05, "m3", _manure_m3),
)  # fmt: skip
