from __future__ import annotations

import json

import pytest

from bot.commands.recipe import main


def run(capsys: pytest.CaptureFixture[str], *argv: str) -> tuple[int, str, str]:
    code = main(argv)
    out, err = capsys.readouterr()
    return code, out, err


def test_json_holds_what_the_contract_names(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(
        capsys,
        "--size",
        "2x2x2",
        "--materials",
        "maize_stalks,cattle_manure",
        "--measure",
        "wheelbarrow",
        "--json",
    )
    assert (code, err) == (0, "")
    report = json.loads(out)
    assert {"materials", "cn_ratio", "moisture", "rounds", "water_litres", "verdict"} <= set(report)
    manure = next(line for line in report["materials"] if line["material"] == "cattle_manure")
    assert manure == {"material": "cattle_manure", "volume_m3": 1.0, "mass_kg": 700.0, "amount": 15.38}
    assert report["verdict"] == "good"


def test_text_says_the_verdict_and_the_change(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(
        capsys, "--size", "1.5 x 1.5 x 1.5", "--materials", "maize_stalks", "--measure", "bucket"
    )
    assert code == 0
    assert "Verdict: slow (cn_high)" in out
    assert "bucket of cattle_manure" in out


def test_whole_stalks_are_told_apart(capsys: pytest.CaptureFixture[str]) -> None:
    ratios = []
    for stalks in ("maize_stalks:whole", "maize_stalks"):
        _, out, _ = run(capsys, "--size", "2x2x2", "--materials", f"{stalks},cattle_manure", "--json")
        ratios.append(json.loads(out)["cn_ratio"])
    assert ratios[0] < ratios[1] - 5


def test_amounts_at_hand_and_shortage(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(
        capsys,
        "--size",
        "2x2x2",
        "--materials",
        "maize_stalks,cattle_manure=5",
        "--measure",
        "wheelbarrow",
        "--json",
    )
    assert code == 0
    assert json.loads(out)["materials"][1]["short_m3"] == pytest.approx(1 - 5 * 0.065)


@pytest.mark.parametrize(
    ("size", "materials", "measure", "said"),
    [
        ("0x2x2", "weeds", "m3", "length_m is 0"),
        ("-3x2x2", "weeds", "m3", "length_m is -3"),
        ("2x2x20", "weeds", "m3", "height_m is 20"),
        ("1e9x2x2", "weeds", "m3", "length_m is 1e+09"),
        ("nanx2x2", "weeds", "m3", "length_m is nan"),
        ("2x2", "weeds", "m3", "three numbers"),
        ("big", "weeds", "m3", "three numbers"),
        ("2x2x2", "gold", "m3", "unknown material: 'gold'"),
        ("2x2x2", "", "m3", "--materials is empty"),
        ("2x2x2", "weeds", "barrel", "unknown measure: 'barrel'"),
        ("2x2x2", "weeds:burnt", "m3", "'burnt'"),
        ("2x2x2", "weeds=many", "m3", "'many'"),
        ("2x2x2", "weeds=-4", "m3", "amount is -4"),
        ("2x2x2", "ash", "m3", "nothing_rots"),
    ],
)
def test_bad_input_gives_one_line_and_2(
    capsys: pytest.CaptureFixture[str], size: str, materials: str, measure: str, said: str
) -> None:
    code, out, err = run(capsys, f"--size={size}", f"--materials={materials}", f"--measure={measure}")
    assert (code, out) == (2, "")
    assert said in err
    assert err.count("\n") == 1


def test_a_missing_argument_is_one_line_too(capsys: pytest.CaptureFixture[str]) -> None:
    code, _, err = run(capsys, "--size", "2x2x2")
    assert code == 2
    assert "--materials" in err
