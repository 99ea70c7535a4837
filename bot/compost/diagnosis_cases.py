"""Cases of the published troubleshooting tables, played through the diagnosis as a farmer would answer."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from typing import Any

import msgspec

from .diagnosis import Diagnosis, Evidence, diagnose
from .diagnosis_table import CauseTable
from .errors import BadData

_DAYS_OF_TURNED_ON = {"just": 2.0, "recent": 7.0, "weeks": 20.0, "long": 40.0}


class Case(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One row of a table. `sign` and `told` are evidence known at once and on being asked; `causes` say what
    the row says."""

    source: str
    mark: str
    sign: Mapping[str, str | float]
    told: Mapping[str, str]
    causes: tuple[str, ...]


class Outcome(msgspec.Struct, frozen=True):
    """What came of a case: questions asked in order, the last diagnosis, the rank of the row's cause."""

    asked: tuple[str, ...]
    diagnosis: Diagnosis
    rank: int


def parse_cases(text: str, table: CauseTable) -> Mapping[str, Case]:
    """Cases from the text of a TOML file, by id. Raises BadData for one that the table cannot play."""
    try:
        cases = msgspec.convert(tomllib.loads(text), dict[str, Case])
    except (tomllib.TOMLDecodeError, msgspec.ValidationError) as exc:
        raise BadData("cases", "", str(exc)) from None
    for name, case in cases.items():
        if unknown := set(case.causes) - set(table.cause):
            raise BadData(name, "causes", f"unknown causes {sorted(unknown)!r}")
        if unknown := set(case.told) - set(table.questions()):
            raise BadData(name, "told", f"no such questions {sorted(unknown)!r}")
    return cases


def play(table: CauseTable, case: Case) -> Outcome:
    """Ask until the diagnosis has no more questions, answering from the case; a question that the case does
    not answer stays unanswered but counts."""
    known: dict[str, Any] = dict(case.sign)
    asked: list[str] = []
    while True:
        found = diagnose(table, Evidence(**known), asked)
        if found.next_question is None:
            break
        asked.append(found.next_question)
        known |= _answer(found.next_question, case)
    order = [ranked.cause for ranked in found.ranked]
    return Outcome(tuple(asked), found, 1 + min(order.index(cause) for cause in case.causes))


def _answer(question: str, case: Case) -> dict[str, Any]:
    answer = case.told.get(question)
    if answer is None:
        return {}
    if question == "turned_on":
        return {"days_since_turned": _DAYS_OF_TURNED_ON[answer]}
    return {question: answer}
