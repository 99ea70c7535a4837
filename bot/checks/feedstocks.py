"""The catalogue against published tables: every range is met by the figure that the core uses."""

from __future__ import annotations

from functools import partial

from bot.checks import Check, Mark
from bot.coredata import load_catalogue

NRAES = "NRAES-54, On-Farm Composting Handbook, 1992, Appendix A, Table A.1"
WISCONSIN = "Univ. of Wisconsin-Madison, compost recipe worksheet key (from CIAS 2002)"
ALASKA = "Univ. of Alaska Fairbanks, LPM-00340, Table 1"
GOTAAS = "WHO Monograph 31 (Gotaas), 1956"
FAO = "FAO composting bulletins (recalled range)"


def cn(material: str) -> float:
    """C:N that the catalogue gives a material. [-]"""
    found = load_catalogue()[material]
    return found.carbon.typical / found.nitrogen.typical


def typical(material: str, field: str) -> float:
    """Typical figure of a material; `density` is its loose, whole state. [as the field]"""
    found = load_catalogue()[material]
    return float(found.density.whole.typical if field == "density" else getattr(found, field).typical)


def _cn(row: str, material: str, low: float, high: float, source: str, mark: Mark) -> Check:
    middle, half = (low + high) / 2, (high - low) / 2
    name = f"C:N of {material} lies in {low:g} to {high:g}"
    return Check(row, name, source, mark, middle, half, "-", partial(cn, material))


def _in(row: str, material: str, field: str, low: float, high: float, source: str, mark: Mark) -> Check:
    middle, half = (low + high) / 2, (high - low) / 2
    unit = "kg/m3" if field == "density" else "kg/kg"
    name = f"{field} of {material} lies in {low:g} to {high:g}"
    return Check(row, name, source, mark, middle, half, unit, partial(typical, material, field))


ROWS = (
    Check("FEED-01", "C:N of maize stalks", WISCONSIN, "published", 65, 0.5, "-", partial(cn,
          "maize_stalks")),
    Check("FEED-01", "C:N of cattle manure against dairy manure", WISCONSIN, "published", 15, 2, "-",
          partial(cn, "cattle_manure")),
    Check("FEED-02", "moisture of maize stalks",
          "Univ. of Wisconsin-Madison CIAS, Art and Science of Composting, " "2002, Table 2", "published",
          0.12, 0.005, "kg/kg", partial(typical, "maize_stalks", "moisture")),
    _cn("FEED-03", "dry_leaves", 40, 80, "Cornell, yard waste composting fact sheet 2", "published"),
    Check("FEED-04", "C:N of grass clippings", "Cornell, yard waste composting fact sheet 2", "published",
          19, 0.5, "-", partial(cn, "green_grass")),
    Check("FEED-05", "C:N of sawdust", "Cornell CALS, S. Reiners, 2021", "published", 500, 60, "-",
          partial(cn, "sawdust")),
    _cn("FEED-06", "poultry_manure", 6, 12, "Univ. of California Santa Cruz, Teaching Organic Farming and "
        "Gardening, unit 1.7", "published"),
    _cn("FEED-07/08", "wheat_straw", 74.5, 130,
        "open-access study PMC8279329 (74.5); North Carolina Cooperative " "Extension (130)", "published"),
    Check("FEED-08", "C:N of poultry litter", "North Carolina Cooperative Extension", "published, restated",
          7.5, 0.5, "-", partial(cn, "poultry_manure")),
    Check("FEED-09", "moisture of cattle manure from a yard", ALASKA, "published", 0.68, 0.01, "kg/kg",
          partial(typical, "cattle_manure", "moisture")),
    Check("FEED-09", "nitrogen of cattle manure, dry", ALASKA, "published", 0.022, 0.001, "kg/kg",
          partial(typical, "cattle_manure", "nitrogen")),
    _in("FEED-11", "pig_manure", "moisture", 0.75, 0.80, f"{ALASKA}; NRAES-54 1992", "published"),
    _in("FEED-11", "pig_manure", "nitrogen", 0.020, 0.031, f"{ALASKA}; NRAES-54 1992", "published"),
    Check("FEED-12", "moisture of sheep manure", ALASKA, "published", 0.65, 0.04, "kg/kg",
          partial(typical, "sheep_manure", "moisture")),
    Check("FEED-14", "nitrogen of grass clippings, dry", GOTAAS, "from memory", 0.024, 0.0005, "kg/kg",
          partial(typical, "green_grass", "nitrogen")),
    Check("FEED-17", "nitrogen of raw sawdust, dry", GOTAAS, "from memory", 0.0011, 0.0001, "kg/kg",
          partial(typical, "sawdust", "nitrogen")),
    _cn("FEED-18", "rice_straw", 60, 105, FAO, "from memory"),
    _in("FEED-18", "rice_straw", "moisture", 0.10, 0.15, FAO, "from memory"),
    _cn("FEED-19", "sugarcane_trash", 100, 120, FAO, "from memory"),
    _cn("FEED-20", "coffee_pulp", 20, 30, "coffee by-product literature (recalled range)", "from memory"),
    _cn("FEED-21", "banana_leaves", 20, 35, "recalled range, weak", "from memory"),
    _cn("FEED-22", "cassava_peels", 40, 55, "recalled range, weak", "from memory"),
    _cn("FEED-23", "goat_manure", 12, 20, "recalled range, weak", "from memory"),
    _in("FEED-26", "topsoil", "density", 1100, 1600, "USDA NRCS soil quality guides", "from memory"),
    Check("FEED-28", "C:N of weeds", GOTAAS, "from memory", 19, 0.5, "-", partial(cn, "weeds")),
    _cn("NRA-01", "maize_stalks", 60, 73, NRAES, "from memory"),
    Check("NRA-01", "density of loose maize stalks", NRAES, "from memory", 19, 0.5, "kg/m3",
          partial(typical, "maize_stalks", "density")),
    _in("NRA-02", "wheat_straw", "nitrogen", 0.003, 0.011, NRAES, "from memory"),
    Check("NRA-04", "nitrogen of dry leaves", NRAES, "from memory", 0.009, 0.0005, "kg/kg",
          partial(typical, "dry_leaves", "nitrogen")),
    _in("NRA-04", "dry_leaves", "density", 59, 178, NRAES, "from memory"),
    _in("NRA-05", "green_grass", "density", 178, 237, NRAES, "from memory"),
    _cn("NRA-07", "legume_leaves", 15, 19, NRAES, "from memory"),
    Check("NRA-08", "nitrogen of vegetable scraps", NRAES, "from memory", 0.027, 0.0005, "kg/kg",
          partial(typical, "vegetable_scraps", "nitrogen")),
    Check("NRA-09", "density of sawdust", NRAES, "from memory", 243, 0.5, "kg/m3",
          partial(typical, "sawdust", "density")),
    _cn("NRA-09", "sawdust", 200, 750, NRAES, "from memory"),
    _cn("NRA-10", "paper", 398, 852, NRAES, "from memory"),
    _cn("NRA-11", "cattle_manure", 11, 30, NRAES, "from memory"),
    _in("NRA-12", "poultry_manure", "nitrogen", 0.04, 0.10, NRAES, "from memory"),
    Check("NRA-13", "C:N of pig manure", NRAES, "from memory", 14, 0.5, "-", partial(cn, "pig_manure")),
    _cn("NRA-14", "sheep_manure", 13, 20, NRAES, "from memory"),
)  # fmt: skip
