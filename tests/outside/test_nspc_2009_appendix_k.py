"""National Standard Plumbing Code 2009, Appendix K: sloping drains by Manning. Grade P but where said; 0.5 %."""

import pytest

from dryfloor.engine.physics.drain import sloping_drain

INCH, FOOT, GPM = 0.0254, 0.3048, 3.785411784e-3 / 60


@pytest.mark.parametrize(
    ("depth", "flow", "speed"), [(1 / 4, 0.274, 0.701), (1 / 2, 1, 1), (3 / 4, 1.82, 1.13), (1, 2.00, 1.00)]
)
def test_multipliers_on_half_full(depth: float, flow: float, speed: float) -> None:
    assert sloping_drain.partial_multipliers(depth) == pytest.approx((flow, speed), rel=0.005)


@pytest.mark.parametrize("n", [0.009, 0.011, 0.013])
def test_other_roughness_by_proportion(n: float) -> None:
    assert sloping_drain.drain_flow(2 * INCH, 1 / 48, manning_n=n) == pytest.approx(
        sloping_drain.drain_flow(2 * INCH, 1 / 48, manning_n=0.015) * 0.015 / n, rel=1e-12
    )


def test_scouring_speed_is_two_feet_a_second() -> None:
    assert pytest.approx(2, rel=1e-12) == sloping_drain.SCOURING_SPEED_MS / FOOT


@pytest.mark.parametrize(
    ("inches", "in_per_ft", "gpm", "ft_s"),
    [
        (2, 1 / 4, 8.42, 1.72),
        (3, 1 / 8, 17.6, 1.59),
        (3, 1 / 4, 24.8, 2.25),
        (3, 1 / 2, 35.1, 3.19),
        (4, 1 / 4, 53.4, 2.73),
    ],
)
def test_table_k_1(inches: int, in_per_ft: float, gpm: float, ft_s: float) -> None:
    """Rows of Table K-1, n 0.015, half full: M, from memory, unverified; 0.5 %."""
    slope = in_per_ft / 12
    assert sloping_drain.drain_flow(inches * INCH, slope) / GPM == pytest.approx(gpm, rel=0.005)
    assert sloping_drain.drain_speed(inches * INCH, slope) / FOOT == pytest.approx(ft_s, rel=0.005)


HALF_FULL = {  # bore in, slope in/ft: gpm and ft/s at n 0.015, 0.013, 0.011, 0.009 (D, with 1.486, hence 0.1 % and a last digit)
    (1.5, 1 / 4): ((3.91, 1.42), (4.51, 1.64), (5.33, 1.93), (6.51, 2.36)),
    (2, 1 / 8): ((5.95, 1.22), (6.86, 1.40), (8.11, 1.66), (9.92, 2.03)),
    (2, 1 / 4): ((8.41, 1.72), (9.71, 1.98), (11.47, 2.34), (14.02, 2.86)),
    (3, 1 / 2): ((35.08, 3.18), (40.48, 3.67), (47.84, 4.34), (58.47, 5.31)),
}


@pytest.mark.parametrize("pipe", HALF_FULL)
def test_half_full_by_roughness(pipe: tuple[float, float]) -> None:
    """Derived (D)."""
    bore, slope = pipe[0] * INCH, pipe[1] / 12
    for n, (gpm, ft_s) in zip((0.015, 0.013, 0.011, 0.009), HALF_FULL[pipe], strict=True):
        assert sloping_drain.drain_flow(bore, slope, manning_n=n) / GPM == pytest.approx(gpm, rel=1e-3, abs=0.006)
        assert sloping_drain.drain_speed(bore, slope, manning_n=n) / FOOT == pytest.approx(ft_s, rel=1e-3, abs=0.006)
