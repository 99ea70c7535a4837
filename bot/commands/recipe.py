"""`python -m bot recipe`: the plan of a heap on the command line."""

from __future__ import annotations

import argparse
import json
import re
import sys
from collections.abc import Sequence
from typing import Any, cast

from bot import compost
from bot.coredata import load_catalogue, load_measures

_SIZE = re.compile(r"\s*x\s*|\s*×\s*|\s*\*\s*|\s+by\s+", re.IGNORECASE)


def main(argv: Sequence[str]) -> int:
    """Print the plan; 0, or 2 with one line on stderr for input that cannot be used."""
    parser = _Parser(prog="python -m bot recipe", description="Plan a compost heap.")
    parser.add_argument("--size", required=True, help="length x width x height in metres, as 2x2x2")
    parser.add_argument(
        "--materials", required=True, help="ids with commas; state and amount as maize_stalks:whole=20"
    )
    parser.add_argument("--measure", default="m3", help="measure for amounts: wheelbarrow, bucket, sack, ...")
    parser.add_argument("--json", action="store_true")
    try:
        args = parser.parse_args(argv)
        report = recipe(args.size, args.materials, args.measure)
    except (compost.CompostError, _Usage) as exc:
        print(f"recipe: {exc}", file=sys.stderr)
        return 2
    print(json.dumps(report, indent=2) if args.json else as_text(report))
    return 0


class _Usage(Exception):
    """An argument that cannot be read."""


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> Any:
        raise _Usage(message)


def recipe(size: str, materials: str, measure: str = "m3") -> dict[str, Any]:
    """The plan as plain data: volumes in m3, masses in kg, water in litres, amounts in `measure`.

    Raises CompostError, or an error with a message for text that is no size or amount.
    """
    catalogue, measures = load_catalogue(), load_measures()
    measures[measure]
    plan = compost.plan_pile(catalogue, _size(size), [_at_hand(m, measure) for m in _names(materials)])
    return {
        "size_m": [plan.size.length_m, plan.size.width_m, plan.size.height_m],
        "volume_m3": round(plan.volume_m3, 3),
        "measure": measure,
        "materials": [_line(need, measure) for need in plan.needs],
        "cn_ratio": round(plan.cn_ratio, 1),
        "moisture": round(plan.moisture, 3),
        "watered_moisture": round(plan.watered_moisture, 3),
        "density_kg_m3": round(plan.density_kg_m3),
        "free_air_space": round(plan.free_air_space, 2),
        "rounds": plan.rounds,
        "layers": [_layer(layer) for layer in plan.layers if layer.round <= 1],
        "water_litres": round(plan.water_l),
        "water_per_round_litres": round(plan.water_per_round_l),
        "verdict": plan.verdict.kind,
        "reasons": list(plan.verdict.reasons),
        "mend": _mend(plan.mend, measure),
        "missing": [{"use": m.use, "could_serve": list(m.could_serve)} for m in plan.missing],
        "notes": list(plan.notes),
        "assumptions": [
            {k: v for k, v in (("kind", a.kind), ("material", a.material), ("state", a.state)) if v}
            for a in plan.assumptions
        ],
    }


def _size(text: str) -> compost.Size:
    try:
        sides = [float(side.strip().removesuffix("m")) for side in _SIZE.split(text.strip())]
    except ValueError:
        sides = []
    if len(sides) != 3:
        raise _Usage(f"--size is {text!r}: expected three numbers in metres, as 2x2x2")
    length, width, height = sides
    return compost.check_size(compost.Size(length, width, height))


def _names(text: str) -> list[str]:
    names = [name.strip() for name in text.split(",") if name.strip()]
    if not names:
        raise _Usage("--materials is empty: expected ids with commas, as maize_stalks,cattle_manure")
    return names


def _at_hand(text: str, measure: str) -> compost.AtHand:
    said, given, amount = text.partition("=")
    name, _, state = (word.strip() for word in said.partition(":"))
    material = load_catalogue()[name]
    if state not in ("", "whole", "chopped", "trodden"):
        raise _Usage(f"state of {name} is {state!r}: expected whole, chopped or trodden")
    lies = cast(compost.State, state) if state else None
    if not given:
        return compost.AtHand(material.id, None, lies)
    try:
        number = float(amount)
    except ValueError:
        raise _Usage(f"amount of {name} is {amount!r}: expected a number of {measure}") from None
    return compost.AtHand(material.id, compost.to_m3(load_measures(), measure, number, material, lies), lies)


def _amount(material: str, volume_m3: float, measure: str) -> float:
    return round(compost.from_m3(load_measures(), measure, volume_m3, load_catalogue()[material]), 2)


def _line(need: compost.Need, measure: str) -> dict[str, Any]:
    line: dict[str, Any] = {
        "material": need.material,
        "volume_m3": round(need.volume_m3, 3),
        "mass_kg": round(need.mass_kg, 1),
        "amount": _amount(need.material, need.volume_m3, measure),
    }
    if need.short_m3 > 0:
        line["short_m3"] = round(need.short_m3, 3)
    return line


def _layer(layer: compost.Layer) -> dict[str, Any]:
    return {
        "round": layer.round,
        "use": layer.use,
        "thickness_m": round(layer.thickness_m, 3),
        "water_litres": round(layer.water_l),
    }


def _mend(addition: compost.Addition | None, measure: str) -> dict[str, Any] | None:
    if addition is None:
        return None
    return {
        "add": addition.material,
        "volume_m3": round(addition.volume_m3, 3),
        "amount": _amount(addition.material, addition.volume_m3, measure),
        "at_hand": addition.at_hand,
    }


def as_text(report: dict[str, Any]) -> str:
    """The report as lines for a person."""
    side = " x ".join(f"{m:g}" for m in report["size_m"])
    lines = [f"Heap {side} m, {report['volume_m3']:g} m3, {report['rounds']} rounds of layers"]
    for line in report["materials"]:
        lines.append(
            f"  {line['material']:<18}{line['volume_m3']:>8.2f} m3{line['mass_kg']:>8.0f} kg"
            f"{line['amount']:>9.1f} {report['measure']}"
        )
    lines.append(f"C:N {report['cn_ratio']:g}, moisture {report['moisture']:.0%} before watering")
    lines.append(
        f"Water about {report['water_litres']} litres, {report['water_per_round_litres']} each round"
    )
    reasons = f" ({', '.join(report['reasons'])})" if report["reasons"] else ""
    lines.append(f"Verdict: {report['verdict']}{reasons}")
    if report["mend"]:
        mend = report["mend"]
        lines.append(f"To mend it: add {mend['amount']:g} {report['measure']} of {mend['add']}")
    for gap in report["missing"]:
        lines.append(f"Missing {gap['use']}: {', '.join(gap['could_serve'])}")
    lines += [f"Note: {note}" for note in report["notes"]]
    return "\n".join(lines)
