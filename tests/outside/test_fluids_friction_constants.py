"""Constants printed in the documentation of the open library `fluids` 1.3.1. Grade P; 1e-9."""

import pytest

from dryfloor.engine.physics import friction


def test_colebrook() -> None:
    assert friction.friction_factor(1e5, 1e-4) == pytest.approx(0.018513866077471, rel=1e-9)


def test_laminar() -> None:
    assert friction.friction_factor(128) == pytest.approx(0.5, rel=1e-9)


@pytest.mark.parametrize(
    ("name", "printed"),
    [("Churchill", 0.018462624566280), ("Haaland", 0.018265053014794), ("Swamee-Jain", 0.018452424431902)],
)
def test_explicit_formulas_lie_near_but_are_not_ours(name: str, printed: float) -> None:
    """Their printed values at the same point (P) differ from Colebrook's root by 0.2 to 1.5 %: we solve the equation."""
    assert 0.002 < abs(printed / friction.friction_factor(1e5, 1e-4) - 1) < 0.015, name


@pytest.mark.parametrize(
    ("reynolds", "roughness", "factor"),
    [(4e3, 0, 0.039907), (1e4, 0, 0.030883), (2e4, 1e-3, 0.027946), (5e4, 1e-3, 0.024021), (1e5, 1e-2, 0.038504)],
)
def test_colebrook_elsewhere(reynolds: float, roughness: float, factor: float) -> None:
    """Derived with the library (D); the digits given."""
    assert friction.friction_factor(reynolds, roughness) == pytest.approx(factor, abs=6e-7)


HOSE = [  # bore in, gpm, loss over 8 ft in ft of water: smooth, twice and four times the friction (D; 0.2 % and a last digit)
    (0.875, 5, 0.324, 0.648, 1.30), (0.875, 10, 1.102, 2.204, 4.41), (0.875, 15, 2.270, 4.540, 9.08),
    (0.875, 20, 3.802, 7.603, 15.2), (1.0, 5, 0.172, 0.343, 0.69), (1.0, 20, 2.001, 4.002, 8.00),
]  # fmt: skip


@pytest.mark.parametrize(("bore_in", "gpm", "smooth", "twice", "four"), HOSE)
def test_eight_feet_of_hose(bore_in: float, gpm: int, smooth: float, twice: float, four: float) -> None:
    """Derived with the library (D). The multiples stand for corrugation, M, from memory, unverified."""
    flow = gpm * 3.785411784e-3 / 60
    for times, feet, digit in ((1, smooth, 6e-4), (2, twice, 6e-4), (4, four, 0.06 if four > 10 else 0.006)):
        loss = friction.darcy_head_loss(flow, bore_in * 0.0254, 8 * 0.3048, friction_times=times)
        assert loss / 0.3048 == pytest.approx(feet, abs=digit)
