"""How fast heat, food and water of core and shell change: the right-hand side of the pile model.

Two zones, the core and the shell around it. Food rots by first order in two fractions (fast, slow); heat flows by
conduction from core to shell to air and ground, and with air that the warmth itself draws through the pile and that
leaves saturated; water evaporates, condenses in part, wicks between the zones and drains. The structure follows Haug
1993 and the reviews of Mason 2006 (KIN-07: first-order decay with corrections did best). `docs/science-pile.md` has
every equation.

The one function below serves plain floats and numpy arrays. It is long on purpose: a pile of 90 days asks for it one
to two hundred times within 5 ms, and each call of a small function from it would cost as much as the formula itself.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import exp, sqrt
from typing import Any, NamedTuple

from .constants import DENSITY_ASH, DENSITY_ORGANIC, DENSITY_WATER
from .pile_constants import PileConstants
from .pile_factors import (
    Number,
    nitrogen_factor,
    oxygen_percent,
    oxygen_yield,
    vapour_pressure,
    warmth_factor,
    wetness_factor,
)
from .pile_shape import SECONDS, shape_of
from .pile_state import SOIL_WATER, WATER_HEAT, Pile, Surroundings, ambient_vapour_kpa, soil_kg

Rates = Callable[..., Sequence[Number]]


class Maths(NamedTuple):
    """The functions that differ between one number and an array."""

    exp: Any
    sqrt: Any
    larger: Any


PLAIN = Maths(exp, sqrt, lambda a, b: a if a > b else b)
AIR_DENSITY = 1.2  # [kg/m3] at 20 C and 101.3 kPa, definition
THIRD = 1.0 / 3.0
LATENT_SLOPE = 2501.0 * 17.27 * 237.3  # [kJ C/kg] latent heat times the slope of ln e, from FAO-56 Eq. 11
HALF_WATER_HEAT = 0.5 * WATER_HEAT
DRIEST = 0.15  # [kg/kg dry] water at which vapour pressure over the stuff is half that over water; estimate
AIR_OXYGEN = 20.95  # [%] definition
AIR_OXYGEN_KG = 0.01107  # [kg/(kg %)] oxygen per percent of volume in a kilogram of air: 0.232 / 20.95
PENMAN_PORE = 0.66  # [-] diffusion through pores against air; Penman 1940, from memory
LEAST_AIR = 0.02  # [m3/m3] so that a soaked pile keeps a trace of air and the sums stay defined


def rates_of(pile: Pile, constants: PileConstants, around: Surroundings, maths: Maths = PLAIN) -> Rates:
    """The rates of a pile until the next event.

    pile, around : as built; climate and surface since the last event.
    Returns a function of day [d] and a state `as_temperatures` that gives the change of each part of the state a
    day; asked for with `steep`, also the main part of the Jacobian of the two temperatures, row by row [1/d], which
    keeps long steps stable.
    """
    exp, sqrt, larger = maths
    c, shape, climate = constants, shape_of(pile, constants), around.climate
    turned_day, settling_time = around.turned_day, c.settling_time
    share = c.core_share
    inert = pile.dry_kg - pile.fast_kg - pile.slow_kg
    inert_in, inert_out = share * inert, (1.0 - share) * inert
    # Volume of what never rots, and organic matter that never rots
    ash_room = pile.ash_kg / DENSITY_ASH - pile.ash_kg / DENSITY_ORGANIC
    room_in, room_out = share * ash_room, (1.0 - share) * ash_room
    soil = soil_kg(pile)
    soil_in, soil_out = share * soil, (1.0 - share) * soil
    loose = shape.volume_m3 / pile.dry_kg
    volume, food = shape.volume_m3, pile.fast_kg + pile.slow_kg
    carbon, carbon_of_decay = pile.carbon_kg, c.carbon_of_decay
    nitrogen, nitrogen_loss = pile.nitrogen_kg, c.nitrogen_loss
    untouched, touched = c.untouched_least, 1.0 - c.untouched_least
    asleep, waking_time = 1.0 - c.waking_share, c.waking_time
    settling, crumbling = c.settling_share, c.crumbling_share
    fast_rate, slow_rate = c.fast_rate * pile.speed, c.slow_rate * pile.speed
    warmth, warmth_slope = warmth_factor(c.coldest, c.best, c.hottest, larger)
    at_20 = 1.0 / (warmth(20.0) * wetness_factor(1.0, 1.0))
    heat, oxygen, wetting = c.heat_of_decay, c.oxygen_of_decay, c.water_of_decay
    solids_heat, made = c.heat_of_solids, heat / oxygen
    air_c, pressure = climate.celsius, climate.pressure_kpa
    air_kpa = ambient_vapour_kpa(climate, exp)
    sat_kpa = air_kpa / climate.humidity
    air_w = 0.622 * air_kpa / (pressure - air_kpa)
    air_vapour, heat_a = 2501.0 + 1.86 * air_c, 1.006 * air_c
    density = AIR_DENSITY * SECONDS * pressure / 101.3
    draught = c.draught * pile.ease * density * share ** (2.0 / 3.0) * shape.ground_m2 / 300.0
    wind = c.wind * pile.ease * density * shape.skin_m2
    wetness = c.bare_wetness + (c.covered_wetness - c.bare_wetness) * around.covered
    skin = c.dalton * wetness * shape.skin_m2
    inward, outward, skin_ratio = shape.inward, shape.outward, shape.skin_ratio
    oxygen_in, oxygen_out = PENMAN_PORE * shape.oxygen_in, PENMAN_PORE * shape.oxygen_out
    back, wicking, holding, drain_rate = c.condensing_share, c.wicking, c.holding, c.drain_rate

    def zone(
        t: Number, dry: Number, water: Number, room: Number, soil: Number, bulk: Number
    ) -> tuple[Number, ...]:
        """Dampness, air space, its and the water's effect on decay, vapour and heat of the air there."""
        air = larger(1.0 - (water / DENSITY_WATER + dry / DENSITY_ORGANIC + room) / (dry * bulk), LEAST_AIR)
        damp = water / (water + DRIEST * dry)
        kpa = damp * vapour_pressure(t, exp)
        w = 0.622 * kpa / (pressure - kpa)
        free = larger(water - SOIL_WATER * soil, 0.0)
        return (
            damp,
            air,
            wetness_factor(free / (free + dry - soil), air, exp),
            w,
            1.006 * t + w * (2501.0 + 1.86 * t),
        )

    def rates(day: float, state: Sequence[Number], steep: bool = False) -> Sequence[Number]:
        t_i, fast_i, slow_i, water_i, t_o, fast_o, slow_o, water_o, _, _ = state
        dry_i, dry_o = inert_in + fast_i + slow_i, inert_out + fast_o + slow_o
        eaten_kg = food - fast_i - slow_i - fast_o - slow_o
        eaten = eaten_kg / food
        fresh = exp((turned_day - day) / settling_time)
        bulk = loose * (1.0 - settling * (1.0 - fresh)) * (1.0 - crumbling * eaten)
        size = ((dry_i + dry_o) * bulk / volume) ** THIRD
        area = size * size
        damp_i, air_i, fit_i, w_i, h_i = zone(t_i, dry_i, water_i, room_in, soil_in, bulk)
        damp_o, air_o, fit_o, w_o, h_o = zone(t_o, dry_o, water_o, room_out, soil_out, bulk)
        # air drawn in by warmth, and by wind through the shell; permeability with the cube of the air space
        draw = draught * area * air_i * air_i * air_i * larger(t_i - air_c, 0.0)
        through = draw + wind * area * air_o * air_o * air_o
        # decay, as far as oxygen goes: what is eaten uses what is brought
        cn_ratio = (carbon - carbon_of_decay * eaten_kg) / (nitrogen * (1.0 - nitrogen_loss * eaten))
        awake = 1.0 - asleep * exp(-day / waking_time)
        common = at_20 * awake * nitrogen_factor(cn_ratio, larger) * (untouched + touched * fresh)
        food_i, food_o = fast_rate * fast_i + slow_rate * slow_i, fast_rate * fast_o + slow_rate * slow_o
        most_i, most_o = oxygen * food_i * common * fit_i, oxygen * food_o * common * fit_o
        wants_i, wants_o = most_i * warmth(t_i), most_o * warmth(t_o)
        supply_o = AIR_OXYGEN_KG * through + oxygen_out * size * air_o * air_o
        supply_i = AIR_OXYGEN_KG * draw + oxygen_in * size * air_i * air_i
        percent_o = oxygen_percent(supply_o, AIR_OXYGEN, wants_o, sqrt)
        percent_i = oxygen_percent(supply_i, percent_o, wants_i, sqrt)
        decay_o, decay_i = (
            supply_o * (AIR_OXYGEN - percent_o) / oxygen,
            supply_i * (percent_o - percent_i) / oxygen,
        )
        pace_i, pace_o = decay_i / food_i, decay_o / food_o
        # Drying at air temperature is paid by sun and air, not by the pile: its heat counts from that state.
        kpa_a = damp_o * sat_kpa
        h_a = heat_a + 0.622 * kpa_a / (pressure - kpa_a) * air_vapour
        drawn_heat, drawn_water = draw * (h_i - h_o), draw * (w_i - w_o)
        air_heat, air_water = through * (h_o - h_a), through * (w_o - air_w)
        t_skin = air_c + (t_o - air_c) * skin_ratio
        kpa_skin = damp_o * vapour_pressure(t_skin, exp)
        skin_water = skin * area * larger(kpa_skin - air_kpa, 0.0)
        skin_heat = skin * area * (kpa_skin - kpa_a) * (2501.0 + 1.86 * t_skin)
        # liquid water
        wick = wicking * (water_o / dry_o - water_i / dry_i) * (dry_i + dry_o)
        run_o = drain_rate * larger(water_o - holding * dry_o, 0.0)
        run_i = drain_rate * larger(water_i - holding * dry_i, 0.0)
        seeped = 0.5 * run_o
        # sums; heat above what comes and goes at the temperature of the zone itself
        between, outside = inward * size, outward * size
        conducted, lost = between * (t_i - t_o), outside * (t_o - air_c)
        kept, kept_water = back * drawn_heat, back * drawn_water
        more_i = wetting * decay_i - drawn_water + wick + seeped - run_i
        more_o = wetting * decay_o + kept_water - air_water - skin_water - wick - run_o
        hot_i, hot_o, colder = WATER_HEAT * t_i, WATER_HEAT * t_o, HALF_WATER_HEAT * (t_o - t_i)
        warms_i = heat * decay_i - conducted - drawn_heat + hot_i * drawn_water + colder * (wick + run_o)
        warms_o = (
            heat * decay_o + conducted + kept - lost - air_heat - skin_heat
            - hot_o * (kept_water - air_water - skin_water) + colder * wick
        )  # fmt: skip
        holds_i, holds_o = (
            dry_i * solids_heat + water_i * WATER_HEAT,
            dry_o * solids_heat + water_o * WATER_HEAT,
        )
        change = (
            warms_i / holds_i,
            -fast_rate * fast_i * pace_i,
            -slow_rate * slow_i * pace_i,
            more_i,
            warms_o / holds_o,
            -fast_rate * fast_o * pace_o,
            -slow_rate * slow_o * pace_o,
            more_o,
            # heat of both zones and all that has left: what each flow takes here it must bring there
            warms_i + warms_o + lost + air_heat + skin_heat + drawn_heat - kept
            + hot_i * (more_i + run_i - wetting * decay_i) + hot_o * (more_o + seeped - wetting * decay_o),
            air_water + skin_water + drawn_water - kept_water + seeped + run_i,
        )  # fmt: skip
        if not steep:
            return change
        # how fast a disturbance of either temperature dies away
        far_i, far_o = t_i + 237.3, t_o + 237.3
        curve = LATENT_SLOPE / (far_o * far_o)
        steep_i = draw * (1.006 + LATENT_SLOPE * w_i / (far_i * far_i))
        damped_o = 1.006 + curve * w_o
        faster_i = made * most_i * warmth_slope(t_i) * oxygen_yield(supply_i, wants_i, percent_i)
        faster_o = made * most_o * warmth_slope(t_o) * oxygen_yield(supply_o, wants_o, percent_o)
        return (
            *change,
            (faster_i - between - 2.0 * steep_i) / holds_i,
            (between + draw * damped_o) / holds_i,
            (between + back * steep_i) / holds_o,
            (faster_o - between - outside - through * damped_o - skin * area * skin_ratio * curve * kpa_skin)
            / holds_o,
        )

    return rates
