"""Pressure limits: UPC 608.2 (P), IRC 2021 P2903.3.1 (S), IPC 604.8 (S; its text M), a trade article (C), a manual (S)."""

import pytest

from dryfloor.engine.physics.supply import pressure

PSI = 6894.757
HOUSE = (pressure.HOUSE_UPC, pressure.HOUSE_IRC, pressure.HOUSE_IPC)


def side(band: pressure.Band, psi: float) -> str:
    """The side of a reading taken at the band's own datum."""
    reading = {"static_Pa": psi * PSI} if band.datum == "static" else {"flowing_Pa": psi * PSI}
    return pressure.pressure_findings(**reading, bands=(band,))[0].side


@pytest.mark.parametrize(("psi", "expected"), [(19.9, "below"), (20, "within"), (120, "within"), (120.1, "above")])
def test_washer(psi: float, expected: str) -> None:
    """C, exact: 20 to 120 psi flowing, common practice."""
    assert side(pressure.MACHINE, psi) == expected
    assert pressure.MACHINE.whose == "common practice of the trade"
    assert pressure.MACHINE.datum == "flowing"


@pytest.mark.parametrize("band", HOUSE, ids=lambda b: b.id)
def test_house(band: pressure.Band) -> None:
    """P or S, exact: 80 psi (552 kPa) passes, 80.1 needs a regulator."""
    assert side(band, 80) == "within"
    assert side(band, 80.1) == "above"
    assert band.max_Pa == pytest.approx(552e3, rel=0.001)
    assert "regulator" in band.note
    assert band.authority == "code"


def test_grades() -> None:
    """A limit carries the grade of its weakest part."""
    assert [b.grade for b in (*HOUSE, pressure.MACHINE, pressure.MACHINE_230V)] == ["P", "S", "S", "C", "S"]
    assert "memory, unverified" in pressure.HOUSE_IPC.note


def test_code_governs_the_house() -> None:
    """D: 100 psi raises the code's flag and none of the washer's."""
    found = {f.band.id: f.side for f in pressure.pressure_findings(static_Pa=100 * PSI, flowing_Pa=100 * PSI)}
    assert found == {
        "house-pressure": "above",
        "house-pressure-irc": "above",
        "house-pressure-ipc": "above",
        "washer-flowing-pressure": "within",
    }


def test_regulator_misprint_rejected() -> None:
    """C: the trade article also asks for a regulator above "12" psi, a misprint for 120: 13 psi asks for none."""
    assert all(side(band, 13) == "within" for band in HOUSE)
    assert side(pressure.MACHINE, 13) == "below"


@pytest.mark.parametrize(("kPa", "expected"), [(99, "below"), (100, "within"), (1000, "within"), (1001, "above")])
def test_marked_band_230_volt(kPa: float, expected: str) -> None:
    """S, exact: 100 to 1000 kPa as marked on one commercial machine, a default."""
    assert side(pressure.MACHINE_230V, kPa * 1000 / PSI) == expected
