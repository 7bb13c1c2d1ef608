"""Illinois Adm. Code 77-906, Appendix A, Exhibit I: friction in Sch 40 plastic pipe, C 150. Grade P; 13 rows at 1 %.

The 1 gpm row prints 0.07 for 0.078 and is left out.
"""

import pytest

from dryfloor.engine.physics import friction

INCH, FOOT, GPM = 0.0254, 0.3048, 3.785411784e-3 / 60
ROWS = [  # true bore in, gpm, ft per 100 ft
    (1.049, 2, 0.28), (1.049, 3, 0.60), (1.049, 4, 1.01), (1.049, 5, 1.52), (1.049, 8, 3.63), (1.049, 10, 5.50),
    (1.380, 10, 1.46), (1.380, 15, 3.06), (1.380, 20, 5.23),
    (1.610, 15, 1.45), (1.610, 20, 2.46),
    (2.067, 20, 0.74), (2.067, 40, 2.62),
]  # fmt: skip


@pytest.mark.parametrize(("bore_in", "gpm", "feet"), ROWS)
def test_row(bore_in: float, gpm: int, feet: float) -> None:
    loss = friction.hazen_williams_head_loss(gpm * GPM, bore_in * INCH, 100 * FOOT, 150)
    assert loss / FOOT == pytest.approx(feet, rel=0.01)


def test_all_thirteen_rows_are_here() -> None:
    assert len(ROWS) == 13


@pytest.mark.parametrize(("gpm", "psi"), [(5, 0.35), (8, 0.84), (10, 1.27), (16, 3.04), (20, 4.59)])
def test_class_160_course_table(gpm: int, psi: float) -> None:
    """Course table for 1 in PVC of class 160, bore 1.195 in, psi per 100 ft (S); 1 %."""
    loss = friction.hazen_williams_head_loss(gpm * GPM, 1.195 * INCH, 100 * FOOT, 150)
    assert friction.pressure_of_head(loss) / 6894.757 == pytest.approx(psi, rel=0.01)


@pytest.mark.parametrize(("gpm", "percent"), [(1, 37), (5, 12), (10, 5)])
def test_darcy_exceeds_hazen_williams_at_low_flow(gpm: int, percent: int) -> None:
    """Derived (D): smooth, 1 in pipe, whole percents."""
    darcy = friction.darcy_head_loss(gpm * GPM, 1.049 * INCH, 1.0)
    hazen = friction.hazen_williams_head_loss(gpm * GPM, 1.049 * INCH, 1.0)
    assert round(100 * (darcy / hazen - 1)) == percent
