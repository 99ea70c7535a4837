"""The small linear programme against scipy.optimize.linprog, and what the answers mean."""

from __future__ import annotations

import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from bot import compost as core
from bot.compost.simplex import minimise
from bot.compost.solve import _most, _programme
from bot.coredata import load_catalogue

ROTTING = sorted(m.id for m in load_catalogue().materials.values() if m.rots)


def ingredients_of(amounts: list[tuple[str, float | None, float]]) -> list[core.Ingredient]:
    return [
        core.Ingredient(part=core.Part(load_catalogue()[name], 0.0), most_m3=most, usual_m3=usual)
        for name, most, usual in amounts
    ]


CHOICES = st.lists(
    st.tuples(st.sampled_from(ROTTING), st.one_of(st.none(), st.floats(0.0, 10.0)), st.floats(0.0, 5.0)),
    min_size=1,
    max_size=8,
    unique_by=lambda choice: choice[0],
)


@settings(max_examples=60, deadline=None)
@given(CHOICES, st.floats(0.1, 12.0))
def test_cost_is_that_of_linprog_and_nothing_exceeds_what_is_at_hand(
    choices: list[tuple[str, float | None, float]], volume: float
) -> None:
    ingredients = ingredients_of(choices)
    most = [_most(item, volume) for item in ingredients]
    if sum(most) < 1e-3:
        return
    programme = _programme(ingredients, most, min(volume, sum(most)), None)
    cost, at_most, limits, equal, values = programme
    reference = linprog(cost, at_most, limits, equal, values, method="highs")
    _, least = minimise(*programme)
    assert reference.success
    assert least == pytest.approx(reference.fun, rel=1e-6, abs=1e-6)
    found = core.balance(load_catalogue(), ingredients, volume)
    for used, limit in zip(found.volumes_m3, most, strict=True):
        assert -1e-9 <= used <= limit + 1e-7
    assert sum(found.volumes_m3) == pytest.approx(min(volume, sum(most)), rel=1e-6)
    assert found.water_l >= 0


def test_random_programmes_against_linprog() -> None:
    random = np.random.default_rng(5)
    for _ in range(60):
        n, m = int(random.integers(2, 7)), int(random.integers(1, 6))
        cost, rows = random.normal(size=n), random.normal(size=(m, n))
        limits, box = random.normal(size=m) + 0.5, np.eye(n)
        at_most, bounds = np.vstack([rows, box]), np.concatenate([limits, np.full(n, 10.0)])
        equal, value = random.normal(size=(1, n)), random.normal(size=1)
        reference = linprog(cost, at_most, bounds, equal, value, method="highs")
        if reference.status == 2:
            with pytest.raises(core.CannotReach, match="no_solution"):
                minimise(cost, at_most, bounds, equal, value)
            continue
        x, least = minimise(cost, at_most, bounds, equal, value)
        assert least == pytest.approx(reference.fun, rel=1e-7, abs=1e-7)
        assert (at_most @ x <= bounds + 1e-7).all()
        assert equal @ x == pytest.approx(value, abs=1e-7)


def test_a_programme_without_a_floor_says_so() -> None:
    with pytest.raises(core.CannotReach, match="unbounded"):
        minimise([-1.0], [], [], [], [])


def test_beales_circle_ends() -> None:
    """Beale 1955: Dantzig's rule alone circles for ever here. Optimum -0.05 (textbook, from memory)."""
    cost = [-0.75, 150.0, -0.02, 6.0]
    rows = [[0.25, -60.0, -0.04, 9.0], [0.5, -90.0, -0.02, 3.0], [0.0, 0.0, 1.0, 0.0]]
    _, least = minimise(cost, rows, [0.0, 0.0, 1.0], [], [])
    assert least == pytest.approx(-0.05)


def test_a_twin_equation_does_no_harm() -> None:
    x, _ = minimise([1.0, 2.0], [], [], [[1, 1], [2, 2]], [3, 6])
    assert list(x) == pytest.approx([3.0, 0.0])


def test_it_reaches_the_preferred_ranges(catalogue: core.Catalogue) -> None:
    found = core.balance(
        catalogue, ingredients_of([("maize_stalks", None, 5.0), ("poultry_manure", None, 1.0)]), 6.0
    )
    assert found.unmet == ()
    assert 25 - 1e-6 <= found.mix.cn_ratio <= 30 + 1e-6
    # Too much nitrogen in the usual 5 to 1: the nearest good mix lies at the lower edge.
    assert found.mix.cn_ratio == pytest.approx(25.0)
    assert found.mend is None


def test_the_usual_amounts_stay_where_they_are_good(catalogue: core.Catalogue) -> None:
    found = core.balance(
        catalogue, ingredients_of([("maize_stalks", None, 4.0), ("pig_manure", None, 1.0)]), 5.0
    )
    assert found.unmet == ()
    assert found.volumes_m3 == pytest.approx((4.0, 1.0))


def test_an_unreachable_target_is_named_with_what_mends_it(catalogue: core.Catalogue) -> None:
    high = core.balance(catalogue, ingredients_of([("maize_stalks", None, 1.0)]), 5.0)
    assert [(u.target, u.reason, u.tolerated) for u in high.unmet] == [("cn_ratio", "cn_high", False)]
    assert high.mend is not None
    low = core.balance(
        catalogue, ingredients_of([("green_grass", None, 1.0), ("poultry_manure", None, 1.0)]), 5.0
    )
    assert {u.reason for u in low.unmet} == {"cn_low", "too_wet"}
    assert low.volumes_m3[1] == pytest.approx(0.0)


def test_too_little_is_said(catalogue: core.Catalogue) -> None:
    found = core.balance(catalogue, ingredients_of([("dry_grass", 2.0, 5.0), ("goat_manure", 0.5, 1.0)]), 6.0)
    assert [u.target for u in found.unmet][0] == "volume"
    assert sum(found.volumes_m3) == pytest.approx(2.5)


def test_around_the_limiting_material(catalogue: core.Catalogue) -> None:
    ingredients = ingredients_of([("maize_stalks", None, 5.0), ("poultry_manure", 0.2, 1.0)])
    found = core.balance_around(catalogue, ingredients, 1)
    assert found.volumes_m3[1] == pytest.approx(0.2)
    assert found.mix.cn_ratio == pytest.approx(25.0)
    with pytest.raises(core.CannotReach, match="limiting_unknown"):
        core.balance_around(catalogue, ingredients, 0)


def test_absurd_input(catalogue: core.Catalogue) -> None:
    with pytest.raises(core.OutOfRange, match="volume_m3"):
        core.balance(catalogue, ingredients_of([("weeds", None, 1.0)]), 0.0)
    with pytest.raises(core.OutOfRange, match="amount of weeds"):
        core.balance(catalogue, ingredients_of([("weeds", -1.0, 1.0)]), 1.0)
    with pytest.raises(core.CannotReach, match="nothing_at_hand"):
        core.balance(catalogue, ingredients_of([("weeds", 0.0, 1.0)]), 1.0)


def test_it_takes_under_two_milliseconds(catalogue: core.Catalogue) -> None:
    names = ["maize_stalks", "dry_grass", "weeds", "dry_leaves", "goat_manure", "poultry_manure"]
    ingredients = ingredients_of([(name, 2.0, 1.0) for name in names])
    times = []
    for _ in range(30):
        start = time.perf_counter()
        core.balance(catalogue, ingredients, 6.0)
        times.append(time.perf_counter() - start)
    print(f"balance of six materials: {1000 * min(times):.2f} ms")
    assert min(times) < 0.002
