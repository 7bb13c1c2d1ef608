"""Impossible inputs are refused by name, nothing flows through nothing, and the import stays light."""

import math
import subprocess
import sys
from collections.abc import Callable

import pytest

from dryfloor.engine.physics import friction
from dryfloor.engine.physics.drain import air_gap, full_bore, pump, siphon, sloping_drain, stack, standpipe
from dryfloor.engine.physics.supply import leak_rate

PIPE = [full_bore.Stretch(0.05, 1.0, 1.0)]
REFUSED = [
    (lambda: stack.stack_capacity(-0.05), "bore_m"),
    (lambda: stack.stack_capacity(0.05, 1.2), "fill: found 1.2, expected a share from 0 to 1"),
    (lambda: stack.terminal_length(-1e-3, 0.05), "flow_m3s"),
    (lambda: sloping_drain.circular_section(0.05, 1.01), "depth_ratio"),
    (lambda: sloping_drain.drain_flow(0.05, -0.01), "slope"),
    (lambda: sloping_drain.drain_flow(0.05, 0.02, manning_n=0), "manning_n"),
    (lambda: friction.friction_factor(0), "reynolds"),
    (lambda: friction.friction_factor(1e5, 1.0), "relative_roughness"),
    (lambda: friction.darcy_head_loss(1e-3, 0.05, -1), "length_m"),
    (lambda: friction.hazen_williams_head_loss(1e-3, 0.05, 1, 0), "smoothness_c"),
    (lambda: friction.pressure_of_head(math.nan), "head_m: found nan m"),
    (lambda: full_bore.head_loss(1e-3, [full_bore.Stretch(0.05, 1, -1)]), "loss_k"),
    (lambda: full_bore.full_bore_flow(1, [full_bore.Stretch(0.05, 1, 1, 1, 1.5)]), "blocked_share"),
    (lambda: full_bore.full_bore_flow(1, []), "no loss"),
    (lambda: full_bore.standpipe_run(-1, 0.05, 1, 0.05), "standpipe_m"),
    (lambda: full_bore.run_head(1, 1, 0), "trap_bore_m"),
    (lambda: full_bore.step_k(0, 0.05), "upstream_bore_m"),
    (
        lambda: standpipe.standpipe_volume(1, 0.04, 0.05),
        "hose_diameter_m: found 0.05 m, expected 0 to below the bore, 0.04 m",
    ),
    (lambda: standpipe.time_to_overflow(1, -1e-3), "inflow_m3s"),
    (lambda: standpipe.tub_fill_time(-1, 1e-3), "volume_m3"),
    (lambda: standpipe.above_feet(1, -0.1), "pedestal_m"),
    (lambda: air_gap.hose_end_above_weir(1, -0.1), "insertion_m"),
    (lambda: siphon.hose_end_height(1, -0.1), "insertion_m"),
    (lambda: air_gap.open_area(0, 0.03), "bore_m"),
    (lambda: air_gap.vent_distance(0.05, 0), "slope"),
    (lambda: siphon.siphon_head(math.inf, 1), "water_line_m: found inf m"),
    (lambda: siphon.siphon_speed(1, -0.5), "loss_k"),
    (lambda: siphon.siphon_flow(1, 0.02, 1, -1), "loss_k: found -1"),
    (lambda: siphon.max_crest(-1), "air_pressure_Pa"),
    (lambda: pump.pump_head(pump.Pump(3, 1e-3, 3), 1e-3), "power: found 3"),
    (lambda: pump.operating_point(pump.Pump(0, 1e-3), 1, 1), "shutoff_m"),
    (lambda: pump.pump_duty(pump.Pump(3, 1e-3), 1, [full_bore.Stretch(-0.05, 1)]), "bore_m"),
    (lambda: pump.affinity(1e-3, 1, 1, -1), "speed_ratio"),
    (lambda: leak_rate.drip_volume_per_day(1, 0), "drop_m3"),
    (lambda: leak_rate.hole_flow(0.001, -1), "pressure_Pa"),
    (lambda: leak_rate.hole_flow(0.001, 1, 1.1), "discharge_c"),
]


@pytest.mark.parametrize(("call", "message"), REFUSED, ids=[message.split(":")[0] for _, message in REFUSED])
def test_an_impossible_input_is_refused_by_name(call: Callable[[], object], message: str) -> None:
    with pytest.raises(ValueError, match=message.replace("+", r"\+")) as caught:
        call()
    assert "found" in str(caught.value)
    assert "expected" in str(caught.value)


def test_nothing_flows_through_nothing() -> None:
    assert sloping_drain.drain_flow(0.05, 0.02, 0) == 0
    assert stack.stack_capacity(0.05, 0) == 0
    assert friction.darcy_head_loss(0, 0.05, 1) == 0
    assert full_bore.head_loss(1e-3, [full_bore.Stretch(0.05, 1, 1, 1, 1.0)]) == math.inf
    assert full_bore.full_bore_flow(-0.1, PIPE) == 0


def test_drain_starts_light() -> None:
    script = (
        "import sys; from dryfloor.engine.physics import drain; "
        "heavy = {'numpy', 'scipy', 'networkx', 'msgspec', 'yaml', 'fluids'} & set(sys.modules); "
        "ours = [m for m in sys.modules if m.startswith('dryfloor.') and m != 'dryfloor.engine'"
        " and not m.startswith('dryfloor.engine.physics')]; "
        "print(sorted(heavy), ours)"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[] []"
