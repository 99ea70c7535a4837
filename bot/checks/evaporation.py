"""Radiation, evapotranspiration and effective rain."""

from __future__ import annotations

from functools import partial

from bot import compost as core
from bot.checks import Check, Mark

FAO56 = "FAO Irrigation and Drainage Paper 56, 1998"
SCS = "FAO CROPWAT manuals (formula read in the R package FAO56)"
TM3 = "FAO, Irrigation Water Management Training Manual 3, 1986, Table 6"


def _at_equator(month: int) -> float:
    return core.radiation_above_air(0.0, core.day_of_month_middle(month))


def _lyon() -> float:
    return core.hargreaves_mm(14.8, 26.6, core.radiation_above_air(45.72, core.day_of_month_middle(7)))


def _bangkok() -> float:
    return core.penman_monteith_mm(14.33, 30.2, 2.0, 2.85, 4.42, 0.246, 0.0674, 0.14)


def _saturation() -> float:
    return (core.saturation_pressure_kpa(24.5) + core.saturation_pressure_kpa(15.0)) / 2


def _rain_on_heap() -> float:
    """Litres that 1 mm brings to 1 m2, before the share that runs off."""
    pile = core.PileWater(top_m2=1.0, dry_kg=100.0, water_kg=100.0)
    return core.water_week(pile, 0.0, 1.0, 0.0, "bare").rain_l / core.RAIN_CAUGHT


def _sun_on_heap() -> float:
    """Litres a day that 5 mm/d takes from a bare top of 1.5 x 1.5 m."""
    pile = core.PileWater(top_m2=2.25, dry_kg=100.0, water_kg=200.0)
    return core.water_week(pile, 5.0, 0.0, 0.0, "bare", 1.0).surface_l


def _rain(row: str, month_mm: float, expected: float, method: core.RainMethod) -> Check:
    source = {"usda_scs": SCS, "fao_training": TM3, "dependable": "FAO CROPWAT manuals (AGLW)"}[method]
    mark: Mark = "published, restated" if method == "usda_scs" else "from memory"
    return Check(row, f"effective rain ({method}) of {month_mm:g} mm a month", source, mark,

                 expected, 0.05, "mm", partial(core.effective_rain_mm, month_mm, method))  # fmt: skip


ROWS = (
    Check("ET-01", "inverse distance of the sun, day 246", f"{FAO56}, Example 8", "published, restated",
          0.985, 0.0005, "-", lambda: core.sun_distance(246)),
    Check("ET-01", "declination, day 246", f"{FAO56}, Example 8", "published, restated", 0.120, 0.0005, "rad",
          lambda: core.sun_declination(246)),
    Check("ET-01", "sunset angle, day 246 at 20 S", f"{FAO56}, Example 8", "published, restated", 1.527,
          0.0005, "rad", lambda: core.sunset_angle(-20.0, 246)),
    Check("ET-01", "radiation above the air, day 246 at 20 S", f"{FAO56}, Example 8", "published, restated",
          32.2, 0.05, "MJ/m2 d", lambda: core.radiation_above_air(-20.0, 246)),
    Check("ET-02", "day length, day 246 at 20 S", f"{FAO56}, Example 9", "published, restated", 11.7, 0.05,
          "h", lambda: core.day_length_h(-20.0, 246)),
    Check("ET-03", "radiation from temperatures", f"{FAO56}, Example 15", "published, restated", 22.3, 0.05,
          "MJ/m2 d", lambda: core.radiation_from_temperatures(40.6, 14.8, 26.6)),
    Check("ET-04", "Hargreaves, Lyon, July", f"{FAO56}, Example 20", "published, restated", 5.0, 0.05,
          "mm/d", _lyon),
    Check("ET-06", "Penman-Monteith, Bangkok, April", f"{FAO56}, Example 17", "published, restated", 5.72,
          0.1, "mm/d", _bangkok),
    *(
        Check("ET-07", f"radiation above the equator, middle of month {month}", f"{FAO56}, Eq. 21",
              "definition", expected, 0.05, "MJ/m2 d", partial(_at_equator, month))
        for month, expected in ((1, 36.2), (4, 36.8), (7, 33.9), (10, 37.3))
    ),
    _rain("ET-08", 50, 46.0, "usda_scs"),
    _rain("ET-08", 100, 84.0, "usda_scs"),
    _rain("ET-08", 200, 136.0, "usda_scs"),
    _rain("ET-08", 250, 150.0, "usda_scs"),
    _rain("ET-08", 300, 155.0, "usda_scs"),
    _rain("ET-09", 10, 0.0, "fao_training"),
    _rain("ET-09", 50, 20.0, "fao_training"),
    _rain("ET-09", 75, 35.0, "fao_training"),
    _rain("ET-09", 100, 55.0, "fao_training"),
    _rain("ET-13", 50, 20.0, "dependable"),
    _rain("ET-13", 70, 32.0, "dependable"),
    _rain("ET-13", 200, 136.0, "dependable"),
    Check("ET-10", "1 mm of rain on 1 m2", "units", "definition", 1.0, 1e-6, "L", _rain_on_heap),
    Check("ET-10", "5 mm/d from 1.5 x 1.5 m", "units", "definition", 11.25, 1e-6, "L/d", _sun_on_heap),
    Check("ET-11", "radiation from sunshine, Rio, May", f"{FAO56}, Example 10", "published, restated", 14.45,
          0.01, "MJ/m2 d", lambda: core.radiation_from_sunshine(25.1, 7.1, 10.9)),
    Check("ET-12", "air pressure at 1800 m", f"{FAO56}, Example 2", "published, restated", 81.8, 0.05, "kPa",
          lambda: core.air_pressure_kpa(1800.0)),
    Check("ET-12", "psychrometric constant at 81.8 kPa", f"{FAO56}, Example 2", "published, restated", 0.054,
          0.0005, "kPa/C", lambda: core.psychrometric_kpa_c(81.8)),
    Check("ET-12", "saturation pressure at 24.5 and 15 C", f"{FAO56}, Example 3", "published, restated",
          2.39, 0.005, "kPa", _saturation),
)  # fmt: skip
