"""Rules of time and temperature, maturity and use of compost."""

from __future__ import annotations

from functools import partial

from bot import compost as core
from bot.checks import Check
from bot.coredata import load_catalogue

ORGANIC = "7 CFR 205.203"
BIOSOLIDS = "40 CFR 257 appendix II B"
MINNESOTA = "Minnesota Pollution Control Agency, compost specifications"
CALIFORNIA = "Univ. of California extension, almond orchard advice (Hartz)"
TEN_TONNES = core.Compost(mass_kg=10_000.0, volume_m3=10_000 / 600, moisture=0.40, nitrogen=0.015)


def _proven(celsius: float, days: int, turns: int, method: core.HygieneMethod = "windrow") -> float:
    readings = [core.CoreReading(day, celsius) for day in range(days)]
    turned = [float(day) for day in range(1, 1 + 2 * turns, 2)]
    return float(core.judge_hygiene(readings, turned, today=60.0, method=method).proven)


def _least(low: int, high: int, proven: partial[float]) -> float:
    """Smallest whole number for which the rule is met."""
    return next(n for n in range(low, high) if proven(n))


def _yard_covers_ft2(inches: float) -> float:
    return core.area_covered_m2(0.764554858, inches * 25.4) / 0.09290304


def _cn_gate() -> float:
    """C:N above which compost is called not ready."""
    low, high = 10.0, 60.0
    while high - low > 0.001:
        middle = (low + high) / 2
        ready = "cn_high" not in core.readiness(core.Signs(age_days=300, cn_ratio=middle)).against
        low, high = (middle, high) if ready else (low, middle)
    return low


def _index_edge(reason: str) -> float:
    """Germination index below which a reason speaks against the compost."""
    return next(
        i / 10 for i in range(1000)
        if reason not in core.readiness(core.Signs(age_days=300, germination_index=i / 10)).against
        and (reason == "harms_seeds" or i / 10 >= 50)
    )  # fmt: skip


def _good_heap() -> core.PilePlan:
    return core.manure_for(load_catalogue(), core.Size(2.0, 2.0, 2.0), "cattle_manure")


def _heap_shrinks_to() -> float:
    plan = _good_heap()
    return core.expected_compost(plan.mix, plan.whole).volume_m3 / plan.volume_m3


def _heap_nitrogen() -> float:
    mix = _good_heap().mix
    return core.expected_compost(mix, mix).nitrogen


def _wait(part: str) -> float:
    found = core.judge_hygiene([], [], today=100.0)
    return found.wait_touching_soil_d if part == "touching" else found.wait_above_soil_d


def _seedlings_to_class(name: str) -> float:
    return next(p for p in range(120) if core.seedling_class(float(p)) == name)


def _first_season() -> float:
    return core.nutrients_of(TEN_TONNES, 10_000.0).first_season_nitrogen_kg


ROWS = (
    Check("RULE-02", "lower edge, 131 F", f"{ORGANIC}(c)(2)(ii)", "published", 55.0, 0.001, "C",
          lambda: core.celsius(131)),
    Check("RULE-02", "upper edge, 170 F", f"{ORGANIC}(c)(2)(ii)", "published", 76.7, 0.05, "C",
          lambda: core.celsius(170)),
    Check("RULE-02", "hot days for a vessel or an aerated static pile", f"{ORGANIC}(c)(2)(ii)", "published",
          3, 0, "d", lambda: _least(1, 30, partial(_proven, 60.0, turns=0, method="vessel"))),
    Check("RULE-03", "hot days for a turned heap", f"{ORGANIC}(c)(2)(iii)", "published", 15, 0, "d",
          lambda: _least(1, 30, partial(_proven, 60.0, turns=5))),
    Check("RULE-03", "turns of a turned heap in 15 hot days", f"{ORGANIC}(c)(2)(iii)", "published", 5, 0,
          "turns", lambda: _least(0, 10, partial(_proven, 60.0, 15))),
    Check("RULE-04", "wait for food that touches the soil", f"{ORGANIC}(c)(1)(ii)", "published", 120, 0, "d",
          lambda: _wait("touching")),
    Check("RULE-05", "wait for other food", f"{ORGANIC}(c)(1)(iii)", "published", 90, 0, "d",
          lambda: _wait("above")),
    Check("RULE-07", "coolest whole degree at which 3 days in a vessel count", BIOSOLIDS, "published", 55, 0,
          "C", lambda: _least(40, 70, partial(_proven, days=3, turns=0, method="vessel"))),
    Check("RULE-08", "coolest whole degree at which 15 days and 5 turns count", BIOSOLIDS, "published", 55,
          0, "C", lambda: _least(40, 70, partial(_proven, days=15, turns=5))),
    Check("RULE-10", "time at 55 C", "40 CFR 503.32(a)(3)", "from memory", 2.63, 0.005, "d",
          lambda: core.heat_treatment_days(55.0)),
    Check("RULE-10", "time at 60 C", "40 CFR 503.32(a)(3)", "from memory", 0.524, 0.0005, "d",
          lambda: core.heat_treatment_days(60.0)),
    Check("USE-03", "nitrogen of compost from the good mix without soil, 0.5 to 2.5 %", CALIFORNIA, "published", 0.015,
          0.010, "kg/kg", _heap_nitrogen),
    Check("USE-04", "share of nitrogen in the first season, 5 to 10 %", CALIFORNIA, "published", 0.075,
          0.025, "kg/kg", lambda: _first_season() / core.nutrients_of(TEN_TONNES, 10_000.0).nitrogen_kg),
    Check("USE-08", "C:N above which compost is not ready",
          "California Compost Quality Council, Maturity Index, 2001", "from memory", 25, 0.01, "-", _cn_gate),
    Check("USE-09", "least emergence of a mature compost", "TMECC 05.05-A; CCQC 2001", "from memory", 80, 0,
          "%", lambda: _seedlings_to_class("mature")),
    Check("USE-09", "very mature begins above 90 %", "TMECC 05.05-A; CCQC 2001", "from memory", 91, 0, "%",
          lambda: _seedlings_to_class("very_mature")),
    Check("USE-05", "least emergence of a mature compost", MINNESOTA, "published", 80, 0, "%",
          lambda: _seedlings_to_class("mature")),
    Check("USE-10", "germination index below which compost harms", "Zucconi et al. 1981", "from memory", 50,
          0, "%", lambda: _index_edge("harms_seeds")),
    Check("USE-10", "germination index of mature compost", "Zucconi et al. 1981", "from memory", 80, 0, "%",
          lambda: _index_edge("weak_seeds")),
    Check("USE-12", "10 t/ha", "units", "definition", 1.0, 1e-9, "kg/m2",
          lambda: core.mass_for_area_kg(1.0, 10.0)),
    Check("USE-13", "1 cm at 600 kg/m3", "units", "definition", 60, 1e-9, "t/ha",
          lambda: core.rate_of_depth_t_ha(10.0, 600.0)),
    Check("USE-14", "nitrogen in 10 t, 40 % moist, 1.5 % of dry", "mass balance", "definition", 90, 1e-6,
          "kg", lambda: core.nutrients_of(TEN_TONNES, 10_000.0).nitrogen_kg),
    Check("USE-14", "of it in the first season, 10 %", "mass balance", "definition", 9, 1e-6, "kg",
          _first_season),
    Check("USE-15", "phosphorus that is assumed, 0.5 to 1.5 %", MINNESOTA, "published", 0.010, 0.005, "kg/kg",
          lambda: TEN_TONNES.phosphorus),
    Check("USE-15", "potassium that is assumed, 0.5 to 1 %", MINNESOTA, "published", 0.0075, 0.0025, "kg/kg",
          lambda: TEN_TONNES.potassium),
    *(
        Check("USE-16", f"ground that 1 yd3 covers {inches} in deep",
              "units (a seller's guide prints 120 for 3 in)", "definition", area, 0.5, "ft2",
              partial(_yard_covers_ft2, inches))
        for inches, area in ((1, 324), (2, 162), (3, 108))
    ),
    Check("KIN-18", "volume that is left of the good heap, 40 to 80 %", "ARCC Agricultural Reviews R-2197",
          "published", 0.60, 0.20, "m3/m3", _heap_shrinks_to),
    Check("PRACTICE-7", "earliest age of compost turned weekly, 6 weeks",
          "common practice, no published source", "common practice", 42, 0, "d",
          lambda: core.usual_age_days(core.Signs(age_days=56, turns=8))[0]),
    Check("PRACTICE-8", "latest age of compost never turned, 12 months",
          "common practice, no published source", "common practice", 365, 0, "d",
          lambda: core.usual_age_days(core.Signs(age_days=56))[1]),
)  # fmt: skip
