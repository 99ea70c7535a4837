"""The integrator against scipy's, the balances, many piles against one, and what is refused."""

from __future__ import annotations

import math
from collections.abc import Sequence

import msgspec
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from bot.compost import pile_factors
from bot.compost.constants import SOIL_FIELD_MOISTURE
from bot.compost.errors import BadData, OutOfRange, UnknownName
from bot.compost.evapotranspiration import saturation_pressure_kpa
from bot.compost.materials import parse_materials
from bot.compost.mix import Part, mix_of, water_to_add_kg
from bot.compost.pile import simulate
from bot.compost.pile_constants import parse_pile_constants
from bot.compost.pile_events import Event, Moment, happen
from bot.compost.pile_rates import rates_of
from bot.compost.pile_state import (
    CORE,
    SHELL,
    Climate,
    Pile,
    Surroundings,
    as_heats,
    as_temperatures,
    pile_of,
    start_state,
)

from .causes import DATA
from .piles import CONSTANTS, CONSTANTS_TEXT, balanced, particles, weekly

ACCURACY_K = 0.5  # [K] what the integrator is held to


def reference(pile: Pile, days: int, events: Sequence[Event]) -> np.ndarray:
    """Core and shell temperature at the start of each day by scipy's LSODA at tight tolerance."""
    climate = Climate()
    now = Moment(
        pile, Surroundings(climate, 0.0, 0.0), start_state(pile, CONSTANTS, climate.celsius), 0.0, 0.0, 0.0
    )
    stops = sorted({0, days, *(int(event.day) for event in events)})
    rows = []
    for start, end in zip(stops, stops[1:], strict=False):
        for event in events:
            if event.day == start:
                now = happen(event, now, CONSTANTS)
        rates = rates_of(now.pile, CONSTANTS, now.around)
        found = solve_ivp(
            lambda day, state, rates=rates: rates(day, [float(v) for v in state]),
            (start, end),
            np.array(as_temperatures(now.pile, CONSTANTS, now.state), dtype=float),
            method="LSODA",
            rtol=1e-7,
            atol=1e-5,
            t_eval=np.arange(start, end + 1),
        )
        rows.append(found.y[[CORE, SHELL]].T[0 if not rows else 1 :])
        now = now._replace(state=as_heats(now.pile, CONSTANTS, [float(v) for v in found.y[:, -1]]))
    return np.concatenate(rows)


@pytest.mark.parametrize(
    ("pile", "events"),
    [
        (balanced(), []),
        (balanced(), weekly(90)),
        (balanced(), weekly(90, turned=False)),
        (balanced(1.0), weekly(90)),
        (balanced(0.5), weekly(90)),
        (balanced(2.5, cn_ratio=22, density_kg_m3=420), weekly(90)),
        (balanced(1.5, **particles("coarse")), weekly(90)),
        (balanced(1.5, moisture=0.72, density_kg_m3=700), [Event(day=10, kind="rain", amount=60)]),
    ],
    ids=["2m", "2m-turned", "2m-watered", "1m", "half", "big-rich", "coarse", "wet"],
)
def test_agrees_with_scipy_within_half_a_degree_over_90_days(pile: Pile, events: list[Event]) -> None:
    course, exact = simulate(pile, CONSTANTS, 90, None, events), reference(pile, 90, events)
    assert np.abs(course.core_c - exact[:, 0]).max() < ACCURACY_K
    assert np.abs(course.shell_c - exact[:, 1]).max() < ACCURACY_K


def test_heat_and_water_balance_to_a_thousandth() -> None:
    mix = mix_of([Part(MATERIALS["dry_grass"], 1.0), Part(MATERIALS["goat_manure"], 0.2)])
    events = [
        *weekly(90),
        Event(day=3, kind="rain", amount=80),
        Event(day=20, kind="add", mix=mix),
        Event(day=30, kind="cover", amount=1),
        Event(day=40, kind="weather", climate=Climate(celsius=15, humidity=0.8)),
    ]
    course = simulate(balanced(), CONSTANTS, 90, None, events)
    assert course.heat_error < 0.001 and course.water_error < 0.001


def test_the_balance_check_can_fail(monkeypatch: pytest.MonkeyPatch) -> None:
    from bot.compost import pile

    leak = msgspec.structs.replace(CONSTANTS, heat_of_decay=CONSTANTS.heat_of_decay * 1.05)
    real = pile.rates_of
    monkeypatch.setattr(pile, "rates_of", lambda p, c, a, m: real(p, leak, a, m))
    assert simulate(balanced(), CONSTANTS, 20).heat_error > 0.001


def test_many_piles_equal_each_pile_alone() -> None:
    sides = np.array([0.7, 1.0, 1.6, 2.2])
    alone = [balanced(float(side)) for side in sides]
    fields = Pile.__struct_fields__
    many = Pile(**{name: np.array([getattr(pile, name) for pile in alone]) for name in fields})
    course = simulate(many, CONSTANTS, 60, None, weekly(60))
    for i, pile in enumerate(alone):
        one = simulate(pile, CONSTANTS, 60, None, weekly(60))
        assert np.abs(course.core_c[:, i] - one.core_c).max() < 0.7  # both within their own step error
        assert np.abs(course.food_left[:, i] - one.food_left).max() < 0.01


def test_among_many_only_the_chosen_pile_is_turned() -> None:
    pair = Pile(**{n: np.array([getattr(balanced(), n)] * 2) for n in Pile.__struct_fields__})
    turned = simulate(pair, CONSTANTS, 20, None, [Event(day=10, kind="turn", share=np.array([1.0, 0.0]))])
    left = simulate(pair, CONSTANTS, 20)
    assert np.abs(turned.core_c[:, 1] - left.core_c[:, 1]).max() < ACCURACY_K
    assert np.abs(turned.core_c[:, 0] - left.core_c[:, 0]).max() > 2


MATERIALS = parse_materials((DATA / "materials.toml").read_text(encoding="utf-8"))


def test_a_pile_of_real_materials_heats() -> None:
    parts = [Part(MATERIALS["maize_stalks"], 5.0, "chopped"), Part(MATERIALS["cattle_manure"], 1.2)]
    pile = pile_of(mix_of(parts).with_water(700), (2, 2, 1.5), "medium", CONSTANTS)
    course = simulate(pile, CONSTANTS, 40)
    assert course.core_c.max() > 50


@settings(max_examples=100, deadline=None)
@given(
    side_m=st.floats(0.5, 3.0),
    moisture=st.floats(0.15, 0.8),
    cn_ratio=st.floats(10, 200),
    density=st.floats(150, 900),
    celsius=st.floats(5, 40),
    every=st.sampled_from([0, 3, 7]),
    rain=st.floats(0, 100),
)
def test_any_pile_stays_within_nature(
    side_m: float, moisture: float, cn_ratio: float, density: float, celsius: float, every: int, rain: float
) -> None:
    pile = balanced(side_m, moisture, cn_ratio, density)
    events = [Event(day=day, kind="turn", until=0.5) for day in (range(every, 40, every) if every else ())]
    course = simulate(
        pile, CONSTANTS, 40, Climate(celsius=celsius), [*events, Event(day=5.5, kind="rain", amount=rain)]
    )
    for series in (course.core_c, course.shell_c):
        assert np.isfinite(series).all()
        assert series.min() >= celsius - ACCURACY_K and series.max() <= CONSTANTS.hottest + ACCURACY_K
    assert (course.moisture > 0).all() and (course.moisture < 1).all()
    assert (np.diff(course.ripeness) >= 0).all() and course.ripeness.max() <= 1
    assert course.heat_error < 0.001 and course.water_error < 0.001


@pytest.mark.parametrize(
    ("days", "climate", "events", "message"),
    [
        (0, None, [], "days is 0 d"),
        (90, Climate(celsius=-5), [], "air temperature is -5 C"),
        (90, Climate(humidity=65), [], "humidity is 65"),
        (90, Climate(celsius=math.nan), [], "air temperature is nan"),
        (90, None, [Event(day=-1, kind="turn")], "day is -1 d"),
        (90, None, [Event(day=1, kind="water", amount=-5)], "amount of water is -5 L"),
        (90, None, [Event(day=1, kind="rain", amount=5000)], "amount of rain is 5000 mm"),
        (90, None, [Event(day=1, kind="water", until=1.2)], "moisture to reach is 1.2"),
    ],
)
def test_what_cannot_be_is_refused(
    days: int, climate: Climate | None, events: list[Event], message: str
) -> None:
    with pytest.raises(OutOfRange, match=message):
        simulate(balanced(), CONSTANTS, days, climate, events)


def test_unknown_events_are_refused() -> None:
    with pytest.raises(UnknownName, match="unknown event: 'burn'"):
        simulate(balanced(), CONSTANTS, 9, None, [Event(day=1, kind="burn")])  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("value = 58.0", "value = 90.0", "expected between coldest and hottest"),
        ("value = 0.036", "value = -1.0", "fast_rate: value: is -1.0"),
        ("[fast_rate]", "[fastrate]", "unknown field `fastrate`"),
        ('mark = "estimate"', 'mark = "sure"', "Invalid enum value"),
    ],
)
def test_bad_constants_are_refused(old: str, new: str, message: str) -> None:
    assert old in CONSTANTS_TEXT
    with pytest.raises(BadData, match=message):
        parse_pile_constants(CONSTANTS_TEXT.replace(old, new, 1))


def test_worked_examples() -> None:
    import doctest

    assert doctest.testmod(pile_factors).failed == 0


@pytest.mark.parametrize("celsius", [0.0, 24.5, 60.0, 80.0])
def test_vapour_pressure_is_that_of_the_water_balance(celsius: float) -> None:
    assert pile_factors.vapour_pressure(celsius) == pytest.approx(saturation_pressure_kpa(celsius))


def test_soil_in_the_layers_is_left_out_of_moisture_and_carbon() -> None:
    parts = [Part(MATERIALS["maize_stalks"], 5.0, "chopped"), Part(MATERIALS["cattle_manure"], 1.2)]
    rotting = mix_of(parts)
    soil = mix_of([Part(MATERIALS["topsoil"], 0.9)])
    whole = mix_of([*parts, Part(MATERIALS["topsoil"], 0.9)])
    whole = whole.with_water(water_to_add_kg(soil.mass_kg, soil.moisture, SOIL_FIELD_MOISTURE))
    pile = pile_of(whole, (2, 2, 1.6), "medium", CONSTANTS, rotting)
    course = simulate(pile, CONSTANTS, 5)
    assert course.moisture[0] == pytest.approx(rotting.moisture, abs=0.02)
    assert course.cn_ratio[0] == pytest.approx(rotting.cn_ratio)


def test_a_small_light_soaked_pile_stays_within_nature() -> None:
    # Half an hour's answer of the shell against food and water that change over weeks: the hard case for the solver.
    course = simulate(balanced(0.5, 0.78125, 10.0, 150.0), CONSTANTS, 40, Climate(celsius=33.0))
    assert min(course.core_c.min(), course.shell_c.min()) >= 33.0 - 0.1


def test_an_oxygen_starved_pile_stops_at_the_hottest() -> None:
    # Where decay is cut off, the solver must not step far over the edge.
    events = [Event(day=day, kind="turn", until=0.5) for day in range(3, 40, 3)]
    course = simulate(balanced(2.841, 0.606, 12.447, 477.0), CONSTANTS, 40, Climate(celsius=40.0), events)
    assert 70 < course.core_c.max() < CONSTANTS.hottest + ACCURACY_K


def test_slack_saves_time_at_a_small_error() -> None:
    exact, quick = (
        simulate(balanced(), CONSTANTS, 90, None, weekly(90), slack=slack) for slack in (1.0, 8.0)
    )
    off = np.abs(exact.core_c - quick.core_c)
    assert 0 < off.mean() < 0.4 and off.max() < 4.0
    assert abs((exact.ripe_day() or 0) - (quick.ripe_day() or 0)) <= 1
    with pytest.raises(OutOfRange, match="slack is 0"):
        simulate(balanced(), CONSTANTS, 9, slack=0.0)
