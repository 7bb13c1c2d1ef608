"""drain: impossible inputs are refused by name, nothing flows through nothing, and the import stays light."""

import math
import subprocess
import sys
from collections.abc import Callable

import pytest

from dryfloor.engine.physics import drain

PIPE = [drain.Stretch(0.05, 1.0, 1.0)]
REFUSED = [
    (lambda: drain.stack_capacity(-0.05), "bore_m"),
    (lambda: drain.stack_capacity(0.05, 1.2), "fill: found 1.2, expected a share from 0 to 1"),
    (lambda: drain.terminal_length(-1e-3, 0.05), "flow_m3s"),
    (lambda: drain.circular_section(0.05, 1.01), "depth_ratio"),
    (lambda: drain.drain_flow(0.05, -0.01), "slope"),
    (lambda: drain.drain_flow(0.05, 0.02, manning_n=0), "manning_n"),
    (lambda: drain.friction_factor(0), "reynolds"),
    (lambda: drain.friction_factor(1e5, 1.0), "relative_roughness"),
    (lambda: drain.darcy_head_loss(1e-3, 0.05, -1), "length_m"),
    (lambda: drain.hazen_williams_head_loss(1e-3, 0.05, 1, 0), "smoothness_c"),
    (lambda: drain.pressure_of_head(math.nan), "head_m: found nan m"),
    (lambda: drain.head_loss(1e-3, [drain.Stretch(0.05, 1, -1)]), "loss_k"),
    (lambda: drain.full_bore_flow(1, [drain.Stretch(0.05, 1, 1, 1, 1.5)]), "blocked_share"),
    (lambda: drain.full_bore_flow(1, []), "no loss"),
    (lambda: drain.standpipe_run(-1, 0.05, 1, 0.05), "standpipe_m"),
    (lambda: drain.run_head(1, 1, 0), "trap_bore_m"),
    (lambda: drain.step_k(0, 0.05), "upstream_bore_m"),
    (lambda: drain.standpipe_volume(1, 0.04, 0.05), "hose_diameter_m: found 0.05 m, expected 0 to below the bore, 0.04 m"),
    (lambda: drain.time_to_overflow(1, -1e-3), "inflow_m3s"),
    (lambda: drain.tub_fill_time(-1, 1e-3), "volume_m3"),
    (lambda: drain.above_feet(1, -0.1), "pedestal_m"),
    (lambda: drain.hose_end_above_weir(1, -0.1), "insertion_m"),
    (lambda: drain.hose_end_height(1, -0.1), "insertion_m"),
    (lambda: drain.open_area(0, 0.03), "bore_m"),
    (lambda: drain.vent_distance(0.05, 0), "slope"),
    (lambda: drain.siphon_head(math.inf, 1), "water_line_m: found inf m"),
    (lambda: drain.siphon_speed(1, -0.5), "loss_k"),
    (lambda: drain.siphon_flow(1, 0.02, 1, -1), "loss_k: found -1"),
    (lambda: drain.max_crest(-1), "air_pressure_Pa"),
    (lambda: drain.pump_head(drain.Pump(3, 1e-3, 3), 1e-3), "power: found 3"),
    (lambda: drain.operating_point(drain.Pump(0, 1e-3), 1, 1), "shutoff_m"),
    (lambda: drain.pump_duty(drain.Pump(3, 1e-3), 1, [drain.Stretch(-0.05, 1)]), "bore_m"),
    (lambda: drain.affinity(1e-3, 1, 1, -1), "speed_ratio"),
    (lambda: drain.drip_volume_per_day(1, 0), "drop_m3"),
    (lambda: drain.hole_flow(0.001, -1), "pressure_Pa"),
    (lambda: drain.hole_flow(0.001, 1, 1.1), "discharge_c"),
]


@pytest.mark.parametrize(("call", "message"), REFUSED, ids=[message.split(":")[0] for _, message in REFUSED])
def test_an_impossible_input_is_refused_by_name(call: Callable[[], object], message: str) -> None:
    with pytest.raises(ValueError, match=message.replace("+", r"\+")) as caught:
        call()
    assert "found" in str(caught.value)
    assert "expected" in str(caught.value)


def test_nothing_flows_through_nothing() -> None:
    assert drain.drain_flow(0.05, 0.02, 0) == 0
    assert drain.stack_capacity(0.05, 0) == 0
    assert drain.darcy_head_loss(0, 0.05, 1) == 0
    assert drain.head_loss(1e-3, [drain.Stretch(0.05, 1, 1, 1, 1.0)]) == math.inf
    assert drain.full_bore_flow(-0.1, PIPE) == 0


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
