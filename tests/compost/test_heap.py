"""Geometry against closed formulas, quadrature and scipy."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import dblquad, quad

from bot import compost as core

SHAPES = ["upright", "tapered", "dome"]


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("height", [0.5, 1.3, 2.0])
def test_volume_is_the_integral_of_the_area(shape: core.Shape, height: float) -> None:
    size = core.Size(3.0, 2.0, 2.0, shape)
    reference, _ = quad(lambda z: core.area_at(size, z), 0, height)
    assert core.volume_below(size, height) == pytest.approx(reference, rel=1e-9)


def test_closed_formulas() -> None:
    assert core.Size(2, 2, 2).volume_m3 == 8.0
    assert core.Size(2, 2, 2, "dome").volume_m3 == pytest.approx(math.pi / 6 * 8)
    # Frustum of a pyramid, sides 2 and 1.2 m: h/3 (A + A' + sqrt(A A')).
    frustum = 2 / 3 * (4 + 1.44 + math.sqrt(4 * 1.44))
    assert core.Size(2, 2, 2, "tapered").volume_m3 == pytest.approx(frustum)


def test_a_half_sphere_has_its_surface() -> None:
    assert core.surface_m2(core.Size(2, 2, 1, "dome")) == pytest.approx(2 * math.pi, rel=0.011)


def test_a_long_dome_against_quadrature() -> None:
    a, b, c = 2.0, 1.0, 1.5

    def element(phi: float, theta: float) -> float:
        s, k = math.sin(theta), math.cos(theta)
        x, y, z = b * c * s * math.cos(phi), a * c * s * math.sin(phi), a * b * k
        return s * math.sqrt(x * x + y * y + z * z)

    reference, _ = dblquad(element, 0, math.pi / 2, 0, 2 * math.pi, epsabs=1e-6)
    assert core.surface_m2(core.Size(2 * a, 2 * b, c, "dome")) == pytest.approx(reference, rel=0.011)


@settings(max_examples=50, deadline=None)
@given(st.floats(0.3, 12), st.floats(0.3, 12), st.floats(0.3, 3))
def test_tapered_lies_between_dome_and_upright(length: float, width: float, height: float) -> None:
    upright, tapered = core.Size(length, width, height), core.Size(length, width, height, "tapered")
    assert 0 < tapered.volume_m3 < upright.volume_m3
    top = core.top_sides(tapered)
    assert top[0] >= 0.4 * length - 1e-9
    assert top[1] >= 0.4 * width - 1e-9


def test_settling_never_goes_back_and_ends_in_the_published_range() -> None:
    """ARCC Agricultural Reviews R-2197 (KIN-18): 20 to 60 % less in the end."""
    volumes = [core.settled_volume_m3(8.0, day) for day in range(0, 400, 5)]
    assert volumes[0] == 8.0
    assert volumes == sorted(volumes, reverse=True)
    assert 0.40 * 8 <= volumes[-1] <= 0.80 * 8


def test_a_height_outside_the_heap() -> None:
    with pytest.raises(core.OutOfRange, match="height_m"):
        core.area_at(core.Size(2, 2, 2), 2.5)
    with pytest.raises(core.OutOfRange, match="age_days"):
        core.settled_volume_m3(8.0, -1.0)
