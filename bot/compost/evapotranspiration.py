"""Reference evapotranspiration and effective rain.

After Allen et al. 1998, FAO Irrigation and Drainage Paper 56. Equation numbers are of that paper.
"""

from __future__ import annotations

import math
from typing import Literal

from .errors import check_range

SOLAR_CONSTANT = 0.0820  # [MJ/m2 min] Eq. 21
MM_PER_MJ = 0.408  # [mm d-1 per MJ m-2 d-1] Eq. 20: one over the latent heat of 2.45 MJ/kg
_DAYS_BEFORE = (0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334)  # [d] definition
INLAND = 0.16  # [C-0.5] Eq. 50, adjustment for inland places; 0.19 at coasts


def day_of_month_middle(month: int) -> int:
    """Day of the year of the 15th of a month, in a common year.

    month : 1 to 12. Returns the day. [d]
    Raises OutOfRange. Source: calendar; FAO-56 Annex 2 takes the 15th for monthly values.

    >>> day_of_month_middle(4)
    105
    """
    check_range("month", month, 1, 12, "month")
    return _DAYS_BEFORE[int(month) - 1] + 15


def sun_distance(day: int) -> float:
    """Inverse relative distance of earth and sun.

    day : of the year, 1 to 366. [d] Returns the factor. [-]
    Raises OutOfRange. Source: Eq. 23; Example 8.

    >>> round(sun_distance(246), 3)
    0.985
    """
    check_range("day", day, 1, 366, "d")
    return 1 + 0.033 * math.cos(2 * math.pi * day / 365)


def sun_declination(day: int) -> float:
    """Declination of the sun.

    day : of the year, 1 to 366. [d] Returns the angle. [rad]
    Raises OutOfRange. Source: Eq. 24; Example 8.

    >>> round(sun_declination(246), 3)
    0.12
    """
    check_range("day", day, 1, 366, "d")
    return 0.409 * math.sin(2 * math.pi * day / 365 - 1.39)


def sunset_angle(latitude_deg: float, day: int) -> float:
    """Hour angle of sunset; 0 in polar night, pi under the midnight sun.

    latitude_deg : -90 to 90, south below 0. [degree] day : of the year. [d] Returns the angle. [rad]
    Raises OutOfRange. Source: Eq. 25; Example 8.

    >>> round(sunset_angle(-20, 246), 3)
    1.527
    """
    check_range("latitude_deg", latitude_deg, -90, 90, "degree")
    cosine = -math.tan(math.radians(latitude_deg)) * math.tan(sun_declination(day))
    return math.acos(min(1.0, max(-1.0, cosine)))


def day_length_h(latitude_deg: float, day: int) -> float:
    """Hours from sunrise to sunset.

    latitude_deg : -90 to 90. [degree] day : of the year. [d] Returns the length. [h]
    Raises OutOfRange. Source: Eq. 34; Example 9.

    >>> round(day_length_h(-20, 246), 1)
    11.7
    """
    return 24 / math.pi * sunset_angle(latitude_deg, day)


def radiation_above_air(latitude_deg: float, day: int) -> float:
    """Radiation that reaches the top of the air.

    latitude_deg : -90 to 90. [degree] day : of the year. [d] Returns the daily sum. [MJ/m2 d]
    Raises OutOfRange. Source: Eq. 21; Example 8.

    >>> round(radiation_above_air(-20, 246), 1)
    32.2
    """
    sunset, declination = sunset_angle(latitude_deg, day), sun_declination(day)
    latitude = math.radians(latitude_deg)
    upright = sunset * math.sin(latitude) * math.sin(declination)
    slanting = math.cos(latitude) * math.cos(declination) * math.sin(sunset)
    return max(0.0, 24 * 60 / math.pi * SOLAR_CONSTANT * sun_distance(day) * (upright + slanting))


def radiation_from_temperatures(
    above_air: float, low_c: float, high_c: float, place: float = INLAND
) -> float:
    """Radiation at the ground, judged by the daily range of temperature.

    above_air : radiation above the air. [MJ/m2 d] low_c, high_c : daily extremes. [C]
    place : 0.16 inland, 0.19 at a coast. [C-0.5] Returns the radiation. [MJ/m2 d]
    Raises OutOfRange. Source: Eq. 50; Example 15.

    >>> round(radiation_from_temperatures(40.6, 14.8, 26.6), 1)
    22.3
    """
    check_range("above_air", above_air, 0, 60, "MJ/m2 d")
    check_range("place", place, 0.1, 0.25, "C-0.5")
    return place * math.sqrt(_daily_range(low_c, high_c)) * above_air


def radiation_from_sunshine(above_air: float, sunshine_h: float, day_h: float) -> float:
    """Radiation at the ground, judged by the hours of sunshine.

    above_air : radiation above the air. [MJ/m2 d] sunshine_h : hours of sun. [h] day_h : day length. [h]
    Returns the radiation. [MJ/m2 d]
    Raises OutOfRange. Source: Eq. 35 with a = 0.25, b = 0.50; Example 10.

    >>> round(radiation_from_sunshine(25.1, 7.1, 10.9), 2)
    14.45
    """
    check_range("above_air", above_air, 0, 60, "MJ/m2 d")
    check_range("day_h", day_h, 0.1, 24, "h")
    check_range("sunshine_h", sunshine_h, 0, day_h, "h")
    return (0.25 + 0.50 * sunshine_h / day_h) * above_air


def hargreaves_mm(low_c: float, high_c: float, above_air: float) -> float:
    """Reference evapotranspiration from temperatures alone.

    low_c, high_c : mean daily extremes of the month. [C] above_air : radiation above the air. [MJ/m2 d]
    Returns the evapotranspiration, never below 0. [mm/d]
    Raises OutOfRange. Source: Eq. 52, radiation turned to mm/d by Eq. 20; Example 20 (Lyon, July).
    FAO advises periods of ten days or more; it runs high in damp air and low in wind.

    >>> round(hargreaves_mm(14.8, 26.6, radiation_above_air(45.72, 196)), 1)
    5.0
    """
    check_range("above_air", above_air, 0, 60, "MJ/m2 d")
    spread = math.sqrt(_daily_range(low_c, high_c))
    return max(0.0, 0.0023 * ((low_c + high_c) / 2 + 17.8) * spread * above_air * MM_PER_MJ)


def penman_monteith_mm(
    net_radiation: float,
    mean_c: float,
    wind_m_s: float,
    vapour_kpa: float,
    saturation_kpa: float,
    slope_kpa_c: float,
    psychrometric_kpa_c: float,
    soil_heat: float = 0.0,
) -> float:
    """Reference evapotranspiration of the FAO, the standard that Hargreaves is a short form of.

    net_radiation, soil_heat : [MJ/m2 d] mean_c : air. [C] wind_m_s : at 2 m. [m/s]
    vapour_kpa, saturation_kpa : actual and saturation pressure. [kPa]
    slope_kpa_c, psychrometric_kpa_c : slope of the saturation curve, psychrometric constant. [kPa/C]
    Returns the evapotranspiration. [mm/d]
    Raises OutOfRange. Source: Eq. 6; Example 17 prints 5.72 for unrounded inputs.

    >>> round(penman_monteith_mm(14.33, 30.2, 2.0, 2.85, 4.42, 0.246, 0.0674, 0.14), 1)
    5.7
    """
    check_range("mean_c", mean_c, -50, 60, "C")
    check_range("wind_m_s", wind_m_s, 0, 60, "m/s")
    dryness = check_range("dryness", saturation_kpa - vapour_kpa, 0, 20, "kPa")
    sun = MM_PER_MJ * slope_kpa_c * (net_radiation - soil_heat)
    air = psychrometric_kpa_c * 900 / (mean_c + 273) * wind_m_s * dryness
    return (sun + air) / (slope_kpa_c + psychrometric_kpa_c * (1 + 0.34 * wind_m_s))


def air_pressure_kpa(altitude_m: float) -> float:
    """Air pressure at an altitude.

    altitude_m : -500 to 9000. [m] Returns the pressure. [kPa]
    Raises OutOfRange. Source: Eq. 7; Example 2.

    >>> round(air_pressure_kpa(1800), 1)
    81.8
    """
    check_range("altitude_m", altitude_m, -500, 9000, "m")
    return float(101.3 * ((293 - 0.0065 * altitude_m) / 293) ** 5.26)


def psychrometric_kpa_c(pressure_kpa: float) -> float:
    """Psychrometric constant.

    pressure_kpa : of the air. [kPa] Returns the constant. [kPa/C]
    Raises OutOfRange. Source: Eq. 8; Example 2.

    >>> round(psychrometric_kpa_c(81.8), 3)
    0.054
    """
    return 0.665e-3 * check_range("pressure_kpa", pressure_kpa, 20, 120, "kPa")


def saturation_pressure_kpa(temperature_c: float) -> float:
    """Pressure of saturated water vapour.

    temperature_c : -50 to 100. [C] Returns the pressure. [kPa]
    Raises OutOfRange. Source: Eq. 11; Example 3.

    >>> round((saturation_pressure_kpa(24.5) + saturation_pressure_kpa(15)) / 2, 2)
    2.39
    """
    check_range("temperature_c", temperature_c, -50, 100, "C")
    return 0.6108 * math.exp(17.27 * temperature_c / (temperature_c + 237.3))


def usual_temperatures_c(latitude_deg: float, month: int, altitude_m: float = 0.0) -> tuple[float, float]:
    """Daily extremes to expect when nobody has measured any.

    latitude_deg : -60 to 60. [degree] month : 1 to 12. altitude_m : -500 to 5000. [m]
    Returns mean low and high of the month. [C]
    Raises OutOfRange. Source: estimate. 27 C at the equator's shores, 33 sin2(latitude) less with latitude,
    swing of 0.25 C a degree, daily range 11 C, 6.5 C/km less with altitude (standard atmosphere). Within
    about 5 C.

    >>> [round(t) for t in usual_temperatures_c(0.0, 4, 1700)]
    [10, 21]
    """
    check_range("latitude_deg", latitude_deg, -60, 60, "degree")
    check_range("altitude_m", altitude_m, -500, 5000, "m")
    season = math.cos(2 * math.pi * (day_of_month_middle(month) - 200) / 365)
    mean = 27 - 33 * math.sin(math.radians(latitude_deg)) ** 2 + 0.25 * latitude_deg * season
    mean -= 0.0065 * altitude_m
    return mean - 5.5, mean + 5.5


RainMethod = Literal["usda_scs", "fao_training", "dependable"]


def effective_rain_mm(month_mm: float, method: RainMethod = "usda_scs") -> float:
    """Rain of a month that stays in a soil's root zone.

    month_mm : rain of a month, 0 to 5000. [mm]
    method : usda_scs P (125 - 0.2 P) / 125 to 250 mm, then 125 + 0.1 P; fao_training 0.6 P - 10 to 75 mm,
    then 0.8 P - 25; dependable 0.6 P - 10 to 70 mm, then 0.8 P - 24.
    Returns the effective rain, never below 0. [mm]
    Raises OutOfRange. Source: FAO CROPWAT manuals; FAO Irrigation Water Management Training Manual 3, 1986,
    Table 6 and dependable rain from memory. FAO-56 itself gives none.

    >>> [effective_rain_mm(p) for p in (50, 100, 250, 300)]
    [46.0, 84.0, 150.0, 155.0]
    """
    check_range("month_mm", month_mm, 0, 5000, "mm")
    if method == "usda_scs":
        return month_mm * (125 - 0.2 * month_mm) / 125 if month_mm <= 250 else 125 + 0.1 * month_mm
    bend, less = (75, 25) if method == "fao_training" else (70, 24)
    return max(0.0, 0.8 * month_mm - less if month_mm > bend else 0.6 * month_mm - 10)


def _daily_range(low_c: float, high_c: float) -> float:
    check_range("low_c", low_c, -50, 55, "C")
    check_range("high_c", high_c, low_c, 60, "C")
    return high_c - low_c
