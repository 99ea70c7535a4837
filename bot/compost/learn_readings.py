"""What a farmer can read off a pile, and how likely each reading is under a course of the model."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import msgspec
import numpy as np
import numpy.typing as npt

from .errors import BadReading, check_range
from .pile import Course, Series

Kind = Literal["feel", "celsius", "squeeze", "smell", "volume"]
KINDS: tuple[Kind, ...] = ("feel", "squeeze", "smell", "volume")  # those that need no instrument
FEELS = ("cold", "warm", "hot")
FEEL_EDGES_C = (
    35.0,
    45.0,
)  # [C] a stick warmer than skin feels warm, one above 45 hot; RULE-15 puts pain at 48 C
FEEL_WIDTH_C = 1.5  # [C] how sharp hands are at an edge; estimate
SQUEEZES = ("dry", "damp", "wet")
SQUEEZE_EDGES = (0.40, 0.63)  # [kg/kg] RANGE-15, extension pages, from memory
SQUEEZE_WIDTH = 0.03  # [kg/kg] estimate
THERMOMETER_C = 4.0  # [C] of the instrument and of where it stood; estimate
VOLUME_SHARE = 0.15  # [-] of a volume paced out or measured with a stick; estimate
CONFUSED = 0.02  # [-] readings that mean nothing (wrong pile, wrong word); estimate
CLASH_C = 15.0  # [C] thermometer and hand on the same day cannot differ by more


class Reading(msgspec.Struct, frozen=True, kw_only=True):
    """One reading: a kind and its value.

    day : of the pile's life. [d] kind : feel (cold, warm, hot), celsius [C], squeeze (dry, damp, wet), smell
    (earthy, ammonia, rotten, sour), volume [m3].
    """

    day: float
    kind: Kind
    word: str | None = None
    value: float | None = None


def check_reading(reading: Reading, others: Sequence[Reading], today: float, last_day: float) -> None:
    """Refuse a reading that cannot be.

    today : day of the pile's life on which it is told. [d] last_day : of the course. [d]
    Raises BadReading for the future, for a word or value that is no reading, or for one that contradicts another of
    the same day; OutOfRange for a value that cannot be.
    """
    if reading.day > today:
        raise BadReading(reading.kind, "in_the_future")
    if not 0 <= reading.day <= last_day:
        raise BadReading(reading.kind, "outside_the_course")
    words = _words(reading.kind)
    if words is not None and reading.word not in words:
        raise BadReading(reading.kind, "unknown_word")
    if words is None:
        low, high, unit = (-10.0, 100.0, "C") if reading.kind == "celsius" else (0.001, 1000.0, "m3")
        if reading.value is None:
            raise BadReading(reading.kind, "no_value")
        check_range(reading.kind, reading.value, low, high, unit)
    for other in others:
        if abs(other.day - reading.day) < 0.5 and _clash(reading, other):
            raise BadReading(reading.kind, "contradicts")


def probability_of_feels(core_c: Series) -> Series:
    """Probability of cold, warm and hot (rows) for each core temperature. [C] -> [-]"""
    return _with_mistakes(_bands(core_c, FEEL_EDGES_C, FEEL_WIDTH_C))


def chances(kind: Kind, course: Course, day: int) -> Series:
    """How likely each answer to a question is under each particle, mistakes allowed for.

    kind : what is asked; a volume or a temperature is taken to lie near one of five that the particles have.
    day : of the course. [d]
    Returns one row for each answer, each column summing to 1. [-]
    """
    words = _words(kind)
    if words is not None:
        readings = [Reading(day=day, kind=kind, word=word) for word in words]
    else:
        values = np.quantile(course.volume_m3[day] if kind == "volume" else course.core_c[day], _FIFTHS)
        readings = [Reading(day=day, kind=kind, value=float(value)) for value in values]
    rows = np.array([likelihood(reading, course)[0] for reading in readings])
    return np.asarray(rows / rows.sum(axis=0))


def likelihood(reading: Reading, course: Course) -> tuple[Series, Series]:
    """How likely a reading is under each particle: with mistakes allowed for, and without. [-]

    A measured value counts as its density over the highest density that it could have.
    """
    row = round(reading.day)
    honest = _HONEST[reading.kind](reading, course, row)
    count = 3.0 if reading.kind in ("feel", "squeeze") else 4.0
    return (1.0 - CONFUSED) * honest + CONFUSED / count, honest


def _feel(reading: Reading, course: Course, row: int) -> Series:
    bands = _bands(course.core_c[row], FEEL_EDGES_C, FEEL_WIDTH_C)
    return np.asarray(bands[FEELS.index(reading.word or "")])


def _squeeze(reading: Reading, course: Course, row: int) -> Series:
    # A handful comes from as deep as an arm goes: half core, half shell.
    moisture = 0.5 * (course.core_moisture[row] + course.shell_moisture[row])
    bands = _bands(moisture, SQUEEZE_EDGES, SQUEEZE_WIDTH)
    return np.asarray(bands[SQUEEZES.index(reading.word or "")])


def _celsius(reading: Reading, course: Course, row: int) -> Series:
    return _bell(course.core_c[row], reading.value or 0.0, THERMOMETER_C)


def _volume(reading: Reading, course: Course, row: int) -> Series:
    volume = reading.value or 0.0
    return _bell(course.volume_m3[row], volume, VOLUME_SHARE * volume)


def _smell(reading: Reading, course: Course, row: int) -> Series:
    """Ammonia speaks for low C:N, rotten and sour for wet (NRAES-54 ch. 6, from memory); shares are estimates."""
    low, wet = course.cn_ratio[row] < 20.0, course.moisture[row] > 0.65
    good, rich, soaked, both = _SMELLS[reading.word or ""]
    return np.where(low & wet, both, np.where(low, rich, np.where(wet, soaked, good)))


# smell: probability in a sound pile, at low C:N, when soaked, with both; each column sums to 1
_SMELLS = {
    "earthy": (0.88, 0.40, 0.25, 0.15),
    "ammonia": (0.05, 0.50, 0.05, 0.40),
    "rotten": (0.04, 0.06, 0.50, 0.35),
    "sour": (0.03, 0.04, 0.20, 0.10),
}
_FIFTHS = (0.1, 0.3, 0.5, 0.7, 0.9)
_HONEST = {"feel": _feel, "celsius": _celsius, "squeeze": _squeeze, "smell": _smell, "volume": _volume}


def _words(kind: Kind) -> tuple[str, ...] | None:
    return {"feel": FEELS, "squeeze": SQUEEZES, "smell": tuple(_SMELLS)}.get(kind)


def _bands(values: Series, edges: tuple[float, float], width: float) -> Series:
    """Shares below, between and above two edges blurred by logistic curves."""
    low, high = (1.0 / (1.0 + np.exp(np.clip((values - edge) / width, -60, 60))) for edge in edges)
    return np.array([low, high - low, 1.0 - high])


def _with_mistakes(chances: Series) -> Series:
    return (1.0 - CONFUSED) * chances + CONFUSED / len(chances)


def _bell(values: Series, seen: float, spread: float) -> npt.NDArray[np.float64]:
    return np.asarray(np.exp(-0.5 * ((values - seen) / spread) ** 2))


def _clash(one: Reading, two: Reading) -> bool:
    """Whether two readings of one day cannot both be true."""
    if one.kind == two.kind:
        if one.word is not None:
            opposite = {("cold", "hot"), ("dry", "wet")}
            return (one.word, two.word) in opposite or (two.word, one.word) in opposite
        if one.kind == "celsius":
            return abs((one.value or 0.0) - (two.value or 0.0)) > CLASH_C
        return False
    pair = {one.kind: one, two.kind: two}
    if set(pair) != {"feel", "celsius"}:
        return False
    celsius = pair["celsius"].value or 0.0
    low = {"cold": -99.0, "warm": FEEL_EDGES_C[0], "hot": FEEL_EDGES_C[1]}[pair["feel"].word or "warm"]
    high = {"cold": FEEL_EDGES_C[0], "warm": FEEL_EDGES_C[1], "hot": 999.0}[pair["feel"].word or "warm"]
    return not low - CLASH_C <= celsius <= high + CLASH_C
