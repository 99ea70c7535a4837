"""The table of causes, signs and remedies (`data/causes.toml`) as checked values."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping

import msgspec

from .errors import BadData

_ROUNDING = 1e-6


class EvidenceKind(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One thing that can be known of a pile.

    values : what may be observed.
    usual : probability of each value when the cause has no bearing on it. [-]
    breaks : upper limits of the bands of a measured quantity, one fewer than `values`.
    question : id of the question that finds it out, or None if it is never asked.
    covers : values that a less exact word may stand for.
    replaced_by : evidence that, when known, makes this one redundant.
    """

    values: tuple[str, ...]
    usual: tuple[float, ...]
    breaks: tuple[float, ...] = ()
    question: str | None = None
    covers: Mapping[str, tuple[str, ...]] = {}
    replaced_by: str | None = None


class RemedyRule(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What to do about a cause. `target` is the goal of the sum that gives the amount, in the unit of its
    kind: moisture [kg/kg], C:N [-], side or cover thickness [m], share of the pile's volume [m3/m3], age
    [d]."""

    kind: str
    check_after_days: int
    target: float | None = None


class Cause(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One cause. `rows` are ids of the published table rows that name it; `likely` maps an evidence to the
    probability of each of its values under this cause; `even` makes every value equally likely."""

    prior: float
    rows: tuple[str, ...]
    remedy: RemedyRule
    likely: Mapping[str, tuple[float, ...]] = {}
    even: bool = False
    danger: bool = False


class CauseTable(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The whole table. Thresholds are probabilities, except `least_gain_bits` [bit]."""

    sure_enough: float
    least_credible: float
    least_gain_bits: float
    most_questions: int
    danger_from: float
    evidence: Mapping[str, EvidenceKind]
    cause: Mapping[str, Cause]

    def likelihood(self, cause: str, evidence: str, values: tuple[str, ...]) -> float:
        """Probability that `evidence` shows one of `values` under `cause`. [-]"""
        kind, entry = self.evidence[evidence], self.cause[cause]
        if entry.even:
            return len(values) / len(kind.values)
        row = entry.likely.get(evidence, kind.usual)
        return sum(row[kind.values.index(value)] for value in values)

    def questions(self) -> tuple[str, ...]:
        """Ids of the questions that the table can ask, in file order."""
        return tuple(kind.question for kind in self.evidence.values() if kind.question)


def parse_causes(text: str) -> CauseTable:
    """The table of causes from the text of a TOML file.

    Returns a table in which every distribution sums to 1 and priors are scaled to sum to 1.
    Raises BadData naming the entry and field of the first mistake.
    """
    try:
        table = msgspec.convert(tomllib.loads(text), CauseTable)
    except tomllib.TOMLDecodeError as exc:
        raise BadData("causes", "", f"not TOML: {exc}") from None
    except msgspec.ValidationError as exc:
        raise BadData("causes", "", str(exc)) from None
    for name, kind in table.evidence.items():
        _check_kind(name, kind, table)
    for name, cause in table.cause.items():
        _check_cause(name, cause, table)
    total = sum(cause.prior for cause in table.cause.values())
    if not total > 0:
        raise BadData("causes", "prior", f"sum to {total!r}: expected above 0")
    causes = {
        name: msgspec.structs.replace(cause, prior=cause.prior / total) for name, cause in table.cause.items()
    }
    return msgspec.structs.replace(table, cause=causes)


def _check_kind(name: str, kind: EvidenceKind, table: CauseTable) -> None:
    entry = f"evidence.{name}"
    _check_shares(entry, "usual", kind.usual, len(kind.values))
    if kind.breaks and (len(kind.breaks) != len(kind.values) - 1 or list(kind.breaks) != sorted(kind.breaks)):
        raise BadData(entry, "breaks", f"are {kind.breaks!r}: expected {len(kind.values) - 1} rising numbers")
    unknown = {value for values in kind.covers.values() for value in values} - set(kind.values)
    if unknown:
        raise BadData(entry, "covers", f"unknown values {sorted(unknown)!r}")
    if kind.replaced_by is not None and kind.replaced_by not in table.evidence:
        raise BadData(entry, "replaced_by", f"unknown evidence {kind.replaced_by!r}")


def _check_cause(name: str, cause: Cause, table: CauseTable) -> None:
    entry = f"cause.{name}"
    if not 0 < cause.prior <= 1:
        raise BadData(entry, "prior", f"is {cause.prior!r}: expected above 0 and at most 1")
    for evidence, shares in cause.likely.items():
        if evidence not in table.evidence:
            raise BadData(entry, f"likely.{evidence}", "unknown evidence")
        _check_shares(entry, f"likely.{evidence}", shares, len(table.evidence[evidence].values))


def _check_shares(entry: str, field: str, shares: tuple[float, ...], length: int) -> None:
    if len(shares) != length:
        raise BadData(entry, field, f"has {len(shares)} numbers: expected {length}")
    # A zero would let one wrong answer rule a cause out for ever.
    if min(shares) <= 0 or abs(sum(shares) - 1) > _ROUNDING:
        raise BadData(entry, field, f"is {shares!r}: expected numbers above 0 that sum to 1")
