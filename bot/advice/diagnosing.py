"""The computation behind a cold stick: what to ask next, what it likely is, and how much of what mends it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

import msgspec

from bot.advice.amounts import Carrier, Said
from bot.advice.caring import age_days, pile_now
from bot.advice.foreseeing import History, believed_causes
from bot.advice.planning import plan_of
from bot.advice.tables import catalogue, causes
from bot.compost import Diagnosis, Evidence, PilePlan, RankedCause, remedy
from bot.compost import diagnose as core_diagnose

NOT_ASKED = ("feel", "turned_on")
"""Questions of the core that the record answers already."""
USUAL_FIX = ("dry_grass", "maize_stalks", "cattle_manure")
MOST_REMEDIES = 2
"""Remedies given in a row; if the pile is cold even then, the trainer is asked."""
LEAST_CREDIBLE = 0.05
"""A second cause less likely than this is not worth a day of turning; estimate."""
Result = dict[str, Any]


def diagnose(
    built_on: str,
    today: str,
    size: list[float],
    materials: Said,
    measure: Said | None = None,
    turned_on: str | None = None,
    heated: str | None = None,
    was_hot: str | None = None,
    squeeze: str | None = None,
    smell: str | None = None,
    look: str | None = None,
    rain: str | None = None,
    animals: str | None = None,
    asked: list[str] | None = None,
    tried: list[str] | None = None,
    history: History = (),
    turning: str | None = None,
    latitude: float | None = None,
) -> Result:
    """One step of the diagnosis of a cold pile.

    tried : causes whose remedy has been given since the pile was last warm: the next likely one comes then.
    """
    carrier = Carrier(measure)
    plan = plan_of(size, materials, carrier)
    age = age_days(built_on, today)
    belief = believed_causes(plan, built_on, age, history, turning, latitude)
    evidence = Evidence(
        feel="cold", squeeze=squeeze, smell=smell, look=look, rain=rain, animals=animals,  # type: ignore[arg-type]
        heated_before="yes" if was_hot == "yes" else heated,  # type: ignore[arg-type]
        age_days=age, days_since_turned=_days_since(turned_on, today, age),
        smallest_side_m=min(size), cn_ratio=plan.cn_ratio,
    )  # fmt: skip
    put = list(asked or [])
    found = _diagnose(evidence, put, belief)
    result: Result = {"ask": "nothing", "asked": put}
    if found.next_question is not None:
        result = {"ask": found.next_question, "asked": [*put, found.next_question]}
    return result | _advice(found, plan, carrier, squeeze, age, list(tried or []))


def _diagnose(evidence: Evidence, put: list[str], belief: Mapping[str, float]) -> Diagnosis:
    """As the core does, with the questions that SMS never puts taken out of its choice, not of its count."""
    table = causes()
    silent = {
        name: msgspec.structs.replace(kind, question=None) if kind.question in NOT_ASKED else kind
        for name, kind in table.evidence.items()
    }
    return core_diagnose(msgspec.structs.replace(table, evidence=silent), evidence, put, belief)


def _days_since(turned_on: str | None, today: str, age: int) -> int:
    if turned_on is None:
        return age
    return max((date.fromisoformat(today) - date.fromisoformat(turned_on)).days, 0)


def _credible(ranked: RankedCause) -> bool:
    return ranked.cause != "other" and ranked.probability >= LEAST_CREDIBLE


def _advice(
    found: Diagnosis, plan: PilePlan, carrier: Carrier, squeeze: str | None, age: int, tried: list[str]
) -> Result:
    untried = [c.cause for c in found.ranked if c.cause not in tried and _credible(c)]
    fits = not found.nothing_fits and len(tried) < MOST_REMEDIES and bool(untried)
    likely = untried[0] if fits else found.best.cause
    water = plan.water_l
    pile = pile_now(plan, age)
    named = [catalogue()[n.material] for n in plan.needs if catalogue()[n.material].rots]
    usual = [catalogue()[name] for name in USUAL_FIX]
    done = remedy(causes(), likely, pile, [*named, *usual], squeeze)
    material = done.material or USUAL_FIX[0]
    return {
        "cause": likely if fits else "unclear",
        "tried": [*tried, likely] if fits else tried,
        "water": carrier.water(done.litres or water * 0.25),
        "add": carrier.shopping([(material, done.volume_m3 or plan.volume_m3 * 0.05)]),
        "check_days": done.check_after_days,
    }
