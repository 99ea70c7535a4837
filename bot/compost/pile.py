"""A pile over time: temperature, moisture, volume, mass, C:N and ripeness by day, for one pile or for many at once."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import msgspec
import numpy as np
import numpy.typing as npt

from .errors import check_range
from .pile_constants import PileConstants
from .pile_events import Event, Moment, check_climate, check_events, happen
from .pile_factors import Number
from .pile_rates import PLAIN, Maths, rates_of
from .pile_state import (
    CORE,
    LEDGER,
    SHELL,
    Climate,
    Pile,
    State,
    Surroundings,
    as_heats,
    as_temperatures,
    rotting_moisture,
    soil_kg,
    start_state,
    zone_dry,
)
from .pile_steps import Change, advance

Series = npt.NDArray[np.float64]
ARRAYS = Maths(np.exp, np.sqrt, np.maximum)
FIRST_STEP = 0.08  # [d] after building
NEXT_STEP = 0.20  # [d] after an event
MOST_DAYS = 800


class Course(msgspec.Struct, frozen=True, kw_only=True):
    """The pile at the start of each day, before what happens on it: arrays of one value a day, or of days by piles.

    core_c, shell_c [C]; core_moisture, shell_moisture, moisture of what rots, soil left out
    [kg/kg wet]; volume_m3; mass_kg, dry_kg (with soil and ash); cn_ratio;
    food_left: share of the fast food [-]; ripeness: 0 as built to 1 when ripe [-]. heat_error, water_error: what the
    balances leave open, against all that was turned over [-].
    """

    core_c: Series
    shell_c: Series
    core_moisture: Series
    shell_moisture: Series
    moisture: Series
    volume_m3: Series
    mass_kg: Series
    dry_kg: Series
    cn_ratio: Series
    food_left: Series
    ripeness: Series
    heat_error: Number
    water_error: Number

    def decayed_kg(self, day: int, days: int = 7) -> Number:
        """Organic matter that rots from one day on, for the water balance; of one pile or of each. [kg]

        day, days : whole, from 0 and 1, together within the course; nothing is added in these days. [d]
        Raises OutOfRange.
        """
        check_range("day", day, 0, len(self.dry_kg) - 1, "d")
        check_range("days", days, 1, len(self.dry_kg) - 1 - day, "d")
        return self.dry_kg[day] - self.dry_kg[day + days]

    def ripe_day(self) -> int | None:
        """First day on which one pile is ripe, or None if it never was."""
        days = np.flatnonzero(self.ripeness >= 1.0)
        return int(days[0]) if days.size else None


def simulate(
    pile: Pile,
    constants: PileConstants,
    days: int,
    climate: Climate | None = None,
    events: Sequence[Event] = (),
    celsius: Number | None = None,
    slack: float = 1.0,
) -> Course:
    """Run a pile, or many, from building on.

    pile : as built; with numpy arrays of one value a pile for many piles, which then share days and kinds of events
        (amounts and `share` of an event may differ from pile to pile).
    days : how long, 1 to 800. [d]
    climate : weather at the start, 22 C at sea level if left out; events of kind `weather` change it.
    events : in any order.
    celsius : of the stuff as built, as warm as the air if left out. [C]
    slack : on the error of a step, 1 to 10; 8 saves a third of the time, and is off
        by up to 3 C on a steep day and by some tenths otherwise, which is little against what readings leave open. [-]
    Returns the course, of days + 1 rows.
    Raises OutOfRange for days, weather or events that cannot be, UnknownName for an unknown kind of event.
    """
    check_range("days", days, 1, MOST_DAYS, "d")
    check_range("slack", slack, 1.0, 10.0, "")
    climate = climate or Climate()
    check_climate(climate)
    check_events(events)
    state = start_state(pile, constants, climate.celsius if celsius is None else celsius)
    now = Moment(pile, Surroundings(climate, 0.0, 0.0), state, 0.0, 0.0, 0.0)
    record = _Record(days, now, as_temperatures(pile, constants, state))
    day, step, opening = 0.0, FIRST_STEP, NEXT_STEP
    for event in [*sorted(events, key=lambda e: e.day), None]:
        end = days if event is None else min(event.day, days)
        if end > day:
            now, step, opened = _run(now, constants, day, end, step, record, slack)
            opening = NEXT_STEP if day == 0.0 else opened
            day = end
        if event is None or event.day >= days:
            break
        now = happen(event, now, constants)
        step = min(step, opening)
        record.change(day, now)
    return _course(record, constants, _errors(record, now, constants))


class _Record:
    """States at the start of each day without the ledger, and from which row on which pile and surface hold."""

    def __init__(self, days: int, now: Moment, first: State) -> None:
        self.rows: list[State] = [first[:LEDGER]]
        self.days = days
        self.moments: list[tuple[float, Moment]] = [(0.0, now)]

    def change(self, day: float, now: Moment) -> None:
        self.moments.append((day, now))

    def seen(
        self,
        start: float,
        end: float,
        old: Sequence[Number],
        new: Sequence[Number],
        old_change: Change,
        new_change: Change,
    ) -> None:
        """Keep whole days within a step: cubic through both ends with their slopes (Hermite)."""
        while len(self.rows) <= end + 1e-9 and len(self.rows) <= self.days:
            if end - len(self.rows) < 1e-9:
                self.rows.append(list(new[:LEDGER]))
                return
            step = end - start
            x = min((len(self.rows) - start) / step, 1.0)
            rest = 1.0 - x
            p, q = rest * rest * (1.0 + 2.0 * x), x * x * (3.0 - 2.0 * x)
            r, s = step * x * rest * rest, -step * x * x * rest
            self.rows.append(
                [
                    p * u + q * v + r * a + s * b
                    for u, v, a, b in zip(old[:LEDGER], new, old_change, new_change, strict=False)
                ]
            )


def _run(
    now: Moment,
    constants: PileConstants,
    start: float,
    end: float,
    step: float,
    record: _Record,
    slack: float,
) -> tuple[Moment, float, float]:
    """The pile at `end`, the next step and the step to begin with after the next event. [d]"""
    many = isinstance(now.pile.dry_kg, np.ndarray)
    rates = rates_of(now.pile, constants, now.around, ARRAYS if many else PLAIN)
    warm = as_temperatures(now.pile, constants, now.state)
    state, step, opening = advance(
        rates, warm, start, end, step, record.seen, _largest if many else abs, slack
    )
    return now._replace(state=as_heats(now.pile, constants, state)), step, opening


def _largest(values: Any) -> float:
    return float(np.abs(values).max())


def _course(record: _Record, constants: PileConstants, errors: tuple[Number, Number]) -> Course:
    """All series, computed at once for the rows over which the pile has the same make-up."""
    rows: Series = np.array(record.rows)
    days = np.arange(len(rows))
    starts = np.array([day for day, _ in record.moments])
    # the row of the day of an event still belongs to the moment before it
    held = np.maximum(np.searchsorted(starts, days, side="left") - 1, 0)
    turned = [now.around.turned_day + np.zeros(rows.shape[2:]) for _, now in record.moments]
    since = days.reshape(-1, *([1] * (rows.ndim - 2))) - np.array(turned)[held]
    piles = [now.pile for _, now in record.moments]
    first = [0] + [i for i in range(1, len(piles)) if piles[i] is not piles[i - 1]] + [len(piles)]
    parts = []
    for low, high in zip(first, first[1:], strict=False):
        there = (held >= low) & (held < high)
        if there.any():
            parts.append(_series(piles[low], constants, rows[there], since[there]))
    joined = parts[0] if len(parts) == 1 else {k: np.concatenate([p[k] for p in parts]) for k in parts[0]}
    joined["ripeness"] = np.maximum.accumulate(joined["ripeness"])
    return Course(heat_error=errors[0], water_error=errors[1], **joined)


def _series(pile: Pile, constants: PileConstants, rows: Series, since: Series) -> dict[str, Series]:
    """What the states mean. rows: days by parts of the state; since: days since turned."""
    state = [rows[:, i] for i in range(rows.shape[1])]
    core, shell = (zone_dry(pile, constants, state, zone) for zone in (CORE, SHELL))
    dry, water, soil = core + shell, state[3] + state[7], soil_kg(pile)
    eaten_kg = pile.fast_kg + pile.slow_kg - state[1] - state[2] - state[5] - state[6]
    eaten = eaten_kg / (pile.fast_kg + pile.slow_kg)
    fresh = np.exp(-since / constants.settling_time)
    loose = pile.length_m * pile.width_m * pile.height_m / pile.dry_kg
    settled = (1 - constants.settling_share * (1 - fresh)) * (1 - constants.crumbling_share * eaten)
    food_left = (state[1] + state[5]) / pile.fast_kg
    return {
        "core_c": state[CORE],
        "shell_c": state[SHELL],
        "core_moisture": rotting_moisture(core, state[3], soil * constants.core_share),
        "shell_moisture": rotting_moisture(shell, state[7], soil * (1 - constants.core_share)),
        "moisture": rotting_moisture(dry, water, soil),
        "volume_m3": dry * loose * settled,
        "mass_kg": dry + water,
        "dry_kg": dry,
        "cn_ratio": (pile.carbon_kg - constants.carbon_of_decay * eaten_kg)
        / (pile.nitrogen_kg * (1 - constants.nitrogen_loss * eaten)),
        "food_left": food_left,
        "ripeness": np.minimum((1 - food_left) / (1 - constants.ripe_food_left), 1.0),
    }


def _errors(record: _Record, now: Moment, constants: PileConstants) -> tuple[Number, Number]:
    """What the heat and water balances leave open, against all that came in."""
    built, last = record.moments[0][1].pile, now.state
    first = record.moments[0][1].state
    food = built.fast_kg + built.slow_kg + now.food_brought
    eaten = food - last[1] - last[2] - last[5] - last[6]
    heat_in = first[0] + first[4] + now.heat_brought + constants.heat_of_decay * eaten
    water_in = first[3] + first[7] + now.water_brought + constants.water_of_decay * eaten
    heat_out, water_out = last[0] + last[4] + last[8], last[3] + last[7] + last[9]
    return abs(heat_out - heat_in) / heat_in, abs(water_out - water_in) / water_in
