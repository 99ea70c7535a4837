"""Ranking of causes and choice of questions."""

from __future__ import annotations

import math

import pytest

from bot.compost.diagnosis import Evidence, diagnose, observed, posterior
from bot.compost.diagnosis_table import parse_causes
from bot.compost.errors import BadData, OutOfRange, UnknownName

from .causes import CAUSES_TEXT, TABLE

COLD = Evidence(feel="cold")


def test_probabilities_sum_to_one_and_fall() -> None:
    found = diagnose(TABLE, COLD)
    shares = [ranked.probability for ranked in found.ranked]
    assert math.isclose(sum(shares), 1)
    assert shares == sorted(shares, reverse=True)
    assert {ranked.cause for ranked in found.ranked} == set(TABLE.cause)


def test_posterior_is_bayes_rule_by_hand() -> None:
    # Two causes told apart by one sign: prior times likelihood, over the sum of all.
    seen = {"squeeze": ("dry",)}
    weights = {c: e.prior * TABLE.likelihood(c, "squeeze", ("dry",)) for c, e in TABLE.cause.items()}
    assert posterior(TABLE, seen)["too_dry"] == pytest.approx(weights["too_dry"] / sum(weights.values()))


def test_a_cold_stick_asks_for_moisture_or_look_first() -> None:
    gains = diagnose(TABLE, COLD).gains_bits
    assert diagnose(TABLE, COLD).next_question in ("squeeze", "look")
    assert sorted(gains, key=lambda question: -gains[question])[:2] in (
        ["look", "squeeze"],
        ["squeeze", "look"],
    )


def test_gain_is_mutual_information_computed_the_other_way_round() -> None:
    # H(cause) - E[H(cause | answer)] must equal H(answer) - E[H(answer | cause)].
    now = {ranked.cause: ranked.probability for ranked in diagnose(TABLE, COLD).ranked}
    values = TABLE.evidence["smell"].values
    rows = {cause: [TABLE.likelihood(cause, "smell", (value,)) for value in values] for cause in now}

    def entropy(shares: list[float]) -> float:
        return -sum(share * math.log2(share) for share in shares)

    answer = [sum(now[cause] * rows[cause][i] for cause in now) for i in range(len(values))]
    other_way = entropy(answer) - sum(now[cause] * entropy(rows[cause]) for cause in now)
    assert diagnose(TABLE, COLD).gains_bits["smell"] == pytest.approx(other_way)


def test_asks_no_question_twice_nor_what_is_known() -> None:
    first = diagnose(TABLE, COLD).next_question
    assert diagnose(TABLE, COLD, asked=[str(first)]).next_question != first
    assert "squeeze" not in diagnose(TABLE, Evidence(feel="cold", squeeze="damp")).gains_bits


def test_stops_after_three_questions() -> None:
    assert diagnose(TABLE, COLD, asked=["look", "squeeze", "smell"]).next_question is None


def test_stops_when_sure() -> None:
    sure = Evidence(feel="cold", squeeze="dry", animals="ants", rain="none", moisture=0.3)
    found = diagnose(TABLE, sure)
    assert (found.best.cause, found.next_question) == ("too_dry", None)
    assert found.best.probability >= TABLE.sure_enough


def test_nothing_fits_when_signs_contradict() -> None:
    odd = Evidence(feel="cold", squeeze="wet", animals="termites", look="crumbly", age_days=2, smell="burnt")
    found = diagnose(TABLE, odd, asked=["look", "squeeze", "smell"])
    assert found.nothing_fits


def test_a_credible_cause_is_not_handed_to_the_trainer() -> None:
    found = diagnose(TABLE, Evidence(feel="cold", squeeze="wet"), asked=["look", "squeeze", "smell"])
    assert not found.nothing_fits


@pytest.mark.parametrize(
    "evidence", [Evidence(celsius=80), Evidence(feel="hot", smoke="yes"), Evidence(smell="burnt")]
)
def test_fire_is_warned_of_at_once(evidence: Evidence) -> None:
    found = diagnose(TABLE, evidence)
    assert found.danger and found.best.cause == "self_ignition" and found.next_question is None


def test_steam_and_heat_alone_are_no_fire() -> None:
    assert not diagnose(TABLE, Evidence(feel="hot", squeeze="damp")).danger


def test_thermometer_speaks_before_the_hand() -> None:
    assert observed(TABLE, Evidence(feel="hot", celsius=30))["feel"] == ("cold",)
    assert observed(TABLE, Evidence(celsius=30, feel="hot"))["feel"] == ("cold",)


@pytest.mark.parametrize(
    ("celsius", "band"),
    [(34.9, "cold"), (35, "warm"), (44.9, "warm"), (45, "hot"), (65, "too_hot"), (77, "charring")],
)
def test_thermometer_bands(celsius: float, band: str) -> None:
    assert observed(TABLE, Evidence(celsius=celsius))["feel"] == (band,)


def test_a_hot_hand_covers_hot_and_too_hot() -> None:
    assert observed(TABLE, Evidence(feel="hot"))["feel"] == ("hot", "too_hot")


def test_squeezed_handful_replaces_the_calculated_moisture() -> None:
    assert "moisture" not in observed(TABLE, Evidence(moisture=0.55, squeeze="dry"))
    assert "moisture" in observed(TABLE, Evidence(moisture=0.55))


def test_belief_of_the_pile_model_moves_the_ranking() -> None:
    plain = diagnose(TABLE, COLD).best.cause
    moved = diagnose(TABLE, COLD, belief={"finished": 50.0}).best.cause
    assert (plain == "finished", moved) == (False, "finished")


@pytest.mark.parametrize(
    ("evidence", "message"),
    [
        (Evidence(moisture=1.4), "moisture is 1.4 kg/kg: expected 0 to 1"),
        (Evidence(age_days=-1), "age_days is -1 d"),
        (Evidence(celsius=math.nan), "celsius is nan C"),
        (Evidence(cn_ratio=math.inf), "cn_ratio is inf"),
    ],
)
def test_impossible_measures_are_refused(evidence: Evidence, message: str) -> None:
    with pytest.raises(OutOfRange, match=message):
        diagnose(TABLE, evidence)


def test_an_unknown_word_is_refused() -> None:
    with pytest.raises(UnknownName, match="unknown squeeze: 'soggy'"):
        diagnose(TABLE, Evidence(squeeze="soggy"))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("squeeze = [0.88, 0.115, 0.005]", "squeeze = [0.88, 0.20, 0.005]", "cause.too_dry: likely.squeeze"),
        ("squeeze = [0.88, 0.115, 0.005]", "squeeze = [0.88, 0.12]", "has 2 numbers: expected 3"),
        ("squeeze = [0.88, 0.115, 0.005]", "squeeze = [0.88, 0.12, 0.0]", "above 0"),
        ("squeeze = [0.88, 0.115, 0.005]", "sqeeze = [0.88, 0.115, 0.005]", "unknown evidence"),
        ("prior = 0.16", "prior = -0.16", "cause.too_dry: prior"),
        ('replaced_by = "squeeze"', 'replaced_by = "hand"', "unknown evidence 'hand'"),
        ("breaks = [3, 11, 31, 71]", "breaks = [3, 31, 11, 71]", "expected 4 rising numbers"),
        ('covers = { hot = ["hot", "too_hot"] }', 'covers = { hot = ["hit"] }', "unknown values"),
        ("most_questions = 3", "most_questions = three", "not TOML"),
        ("most_questions = 3", 'most_questions = "3"', "Expected `int`"),
    ],
)
def test_a_bad_table_is_refused_by_name(old: str, new: str, message: str) -> None:
    assert old in CAUSES_TEXT
    with pytest.raises(BadData, match=message):
        parse_causes(CAUSES_TEXT.replace(old, new, 1))


def test_every_question_can_be_asked_by_sms() -> None:
    assert set(TABLE.questions()) == {
        "squeeze", "smell", "feel", "turned_on", "heated_before", "rain", "look", "animals",
    }  # fmt: skip
