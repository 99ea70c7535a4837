"""What is probably wrong with a pile, and what to ask next.

Bayes' rule over the causes of `diagnosis_table`, with each piece of evidence independent given the cause.
The next question is the one with the greatest expected information gain (Lindley 1956, Annals of Mathematical
Statistics 27: the mutual information of answer and cause).
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection, Mapping
from math import isfinite, log2
from typing import Literal

import msgspec

from .diagnosis_table import CauseTable
from .errors import OutOfRange, UnknownName

YesNo = Literal["yes", "no"]
OTHER = "other"
_LIMITS: Mapping[str, tuple[float, float, str]] = {
    "celsius": (-40.0, 1000.0, "C"),
    "age_days": (0.0, 3650.0, "d"),
    "days_since_turned": (0.0, 3650.0, "d"),
    "smallest_side_m": (0.0, 100.0, "m"),
    "cn_ratio": (0.0, 2000.0, ""),
    "moisture": (0.0, 1.0, "kg/kg"),
    "soil_share": (0.0, 1.0, "m3/m3"),
}


class Evidence(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What is known of a pile; None means unknown.

    Seen or felt by the farmer: feel, celsius [C] (a thermometer, taken before feel), squeeze, smell, look,
    rain in the last week, animals, white_threads, heated_before (was it ever hot), settled_fast, water_stands
    around it, smoke, stored (it was put by as finished compost), fresh_food_on_top, reheats_after_turning.
    Known from the record: age_days [d], days_since_turned [d] (the age, if never turned), smallest_side_m
    [m], cn_ratio [-], moisture [kg/kg wet], soil_share of the volume [m3/m3], ash_or_lime (much of it),
    cooling (how the readings fell), cold_weather.
    """

    feel: Literal["cold", "warm", "hot"] | None = None
    celsius: float | None = None
    squeeze: Literal["dry", "damp", "wet"] | None = None
    smell: Literal["earthy", "none", "ammonia", "rotten", "sour", "mouldy", "burnt"] | None = None
    look: Literal["ordinary", "coarse", "matted", "crumbly", "soil", "patchy"] | None = None
    rain: Literal["none", "some", "heavy"] | None = None
    animals: Literal["none", "flies", "ants", "termites", "mosquitoes", "diggers"] | None = None
    heated_before: YesNo | None = None
    days_since_turned: float | None = None
    age_days: float | None = None
    smallest_side_m: float | None = None
    cn_ratio: float | None = None
    moisture: float | None = None
    soil_share: float | None = None
    cooling: Literal["none", "slow", "sudden"] | None = None
    reheats_after_turning: YesNo | None = None
    settled_fast: YesNo | None = None
    white_threads: YesNo | None = None
    ash_or_lime: YesNo | None = None
    fresh_food_on_top: YesNo | None = None
    water_stands: YesNo | None = None
    cold_weather: YesNo | None = None
    stored: YesNo | None = None
    smoke: YesNo | None = None


class RankedCause(msgspec.Struct, frozen=True):
    """A cause and its probability. [-]"""

    cause: str
    probability: float


class Diagnosis(msgspec.Struct, frozen=True):
    """What is believed now.

    ranked : all causes, most probable first (a danger first of all, once it is likely enough to act on).
    best, second : the first two of them.
    next_question : id of the question to ask, or None when it is time to advise.
    nothing_fits : no more questions, and no cause is credible: ask the trainer.
    danger : `best` can hurt people: warn at once.
    gains_bits : what each open question is expected to tell. [bit]
    """

    ranked: tuple[RankedCause, ...]
    best: RankedCause
    second: RankedCause
    next_question: str | None
    nothing_fits: bool
    danger: bool
    gains_bits: Mapping[str, float]


Seen = Mapping[str, tuple[str, ...]]


def diagnose(
    table: CauseTable,
    evidence: Evidence,
    asked: Collection[str] = (),
    belief: Mapping[str, float] | None = None,
) -> Diagnosis:
    """Rank the causes and choose the next question.

    evidence : all that is known, from the record and from answers so far.
    asked : ids of the questions already put, answered or not; none of them is put again.
    belief : factor on the prior of a cause, from the pile model or the trainer; 1 where absent. [-]
    Returns a Diagnosis; probabilities sum to 1.
    Raises OutOfRange for a measured value that cannot be, UnknownName for a word the table does not hold.
    """
    seen = observed(table, evidence)
    probabilities = posterior(table, seen, belief)
    gains = _gains(table, seen, asked, probabilities)
    order = sorted(probabilities, key=lambda cause: -probabilities[cause])
    danger = [cause for cause in order if table.cause[cause].danger]
    danger = [cause for cause in danger if probabilities[cause] >= table.danger_from]
    order = danger + [cause for cause in order if cause not in danger]
    ranked = tuple(RankedCause(cause, probabilities[cause]) for cause in order)
    question = None if danger else _choose(table, ranked[0].probability, gains, len(asked))
    credible = ranked[0].probability >= table.least_credible and ranked[0].cause != OTHER
    lost = question is None and not danger and not credible
    return Diagnosis(ranked, ranked[0], ranked[1], question, lost, bool(danger), gains)


def observed(table: CauseTable, evidence: Evidence) -> Seen:
    """The values of each known evidence that fit what was reported; measured quantities become bands.

    Raises OutOfRange, UnknownName.
    """
    seen = {}
    for name, value in msgspec.structs.asdict(evidence).items():
        if value is None:
            continue
        key = "feel" if name == "celsius" else name
        if key not in table.evidence:
            raise UnknownName("evidence", name)
        if isinstance(value, str):
            if key not in seen:  # a thermometer already spoke
                seen[key] = _words(table, key, value)
        else:
            seen[key] = _band(table, key, name, float(value))
    better = {name: table.evidence[name].replaced_by for name in seen}
    return {name: values for name, values in seen.items() if better[name] not in seen}


def posterior(
    table: CauseTable, seen: Seen, belief: Mapping[str, float] | None = None
) -> Mapping[str, float]:
    """Probability of each cause given what was seen, by Bayes' rule. [-]"""
    weights = {}
    for cause, entry in table.cause.items():
        weight = entry.prior * (belief or {}).get(cause, 1.0)
        for name, values in seen.items():
            weight *= table.likelihood(cause, name, values)
        weights[cause] = weight
    return _scaled(weights)


def _words(table: CauseTable, name: str, value: str) -> tuple[str, ...]:
    kind = table.evidence[name]
    if value in kind.covers:
        return kind.covers[value]
    if value not in kind.values:
        raise UnknownName(name, value)
    return (value,)


def _band(table: CauseTable, key: str, name: str, value: float) -> tuple[str, ...]:
    low, high, unit = _LIMITS[name]
    if not isfinite(value) or not low <= value <= high:
        raise OutOfRange(name, value, low, high, unit)
    kind = table.evidence[key]
    return (kind.values[bisect_right(kind.breaks, value)],)


def _gains(
    table: CauseTable, seen: Seen, asked: Collection[str], probabilities: Mapping[str, float]
) -> dict[str, float]:
    open_kinds = {
        kind.question: name
        for name, kind in table.evidence.items()
        if kind.question and kind.question not in asked and name not in seen
    }
    return {question: _gain(table, name, probabilities) for question, name in open_kinds.items()}


def _gain(table: CauseTable, name: str, probabilities: Mapping[str, float]) -> float:
    """Mutual information of the answer and the cause. [bit]"""
    gain = _entropy(probabilities.values())
    for value in table.evidence[name].values:
        joint = {c: p * table.likelihood(c, name, (value,)) for c, p in probabilities.items()}
        gain -= sum(joint.values()) * _entropy(_scaled(joint).values())
    return max(gain, 0.0)


def _choose(table: CauseTable, best: float, gains: Mapping[str, float], count: int) -> str | None:
    if best >= table.sure_enough or count >= table.most_questions or not gains:
        return None
    question = max(gains, key=lambda name: gains[name])
    return question if gains[question] >= table.least_gain_bits else None


def _entropy(probabilities: Collection[float]) -> float:
    return -sum(p * log2(p) for p in probabilities if p > 0)


def _scaled(weights: Mapping[str, float]) -> dict[str, float]:
    total = sum(weights.values())
    return {name: weight / total for name, weight in weights.items()}
