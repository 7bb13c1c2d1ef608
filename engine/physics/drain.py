"""Drain physics in one place: stack, sloping drain, full bore, standpipe, gaps, siphon, pump, friction, leaks.

SI in, SI out, standard library only. What may be said of a result:

- `stack_capacity` is a design limit with an open air core; overflow is judged by `full_bore_flow`, as a margin.
- Siphoning is judged by `siphon_head` on this machine's own water line, never by a fixed height.
- Friction is Darcy with Colebrook's factor unless a function says Hazen-Williams.
"""

from .air_gap import air_gap, hose_end_above_weir, open_area, vent_distance
from .friction import (
    GRAVITY_MS2,
    SMOOTH_M,
    WATER_DENSITY_KGM3,
    WATER_VISCOSITY_PAS,
    darcy_head_loss,
    friction_factor,
    hazen_williams_head_loss,
    pressure_of_head,
)
from .full_bore import (
    EXIT_K,
    TRAP_K,
    TRAP_K_BAND,
    TRAP_LENGTH_M,
    Stretch,
    full_bore_flow,
    head_loss,
    run_head,
    standpipe_run,
    step_k,
)
from .leak_rate import (
    DROP_EPA_M3,
    DROP_SINK_M3,
    DROP_THIRD_M3,
    SHARP_EDGE_C,
    drip_volume_per_day,
    hole_flow,
    hole_volume_per_day,
)
from .pump import Duty, Pump, Scaled, affinity, operating_point, pump_duty, pump_head
from .siphon import hose_end_height, max_crest, siphon_flow, siphon_head, siphon_outlet, siphon_speed
from .sloping_drain import (
    SCOURING_SPEED_MS,
    Multipliers,
    Section,
    circular_section,
    drain_flow,
    drain_speed,
    manning_speed,
    partial_multipliers,
)
from .stack import stack_capacity, terminal_length, terminal_speed
from .standpipe import (
    above_feet,
    above_floor,
    above_weir,
    floor_from_feet,
    standpipe_volume,
    time_to_overflow,
    tub_fill_time,
)

__all__ = [
    "DROP_EPA_M3",
    "DROP_SINK_M3",
    "DROP_THIRD_M3",
    "EXIT_K",
    "GRAVITY_MS2",
    "SCOURING_SPEED_MS",
    "SHARP_EDGE_C",
    "SMOOTH_M",
    "TRAP_K",
    "TRAP_K_BAND",
    "TRAP_LENGTH_M",
    "WATER_DENSITY_KGM3",
    "WATER_VISCOSITY_PAS",
    "Duty",
    "Multipliers",
    "Pump",
    "Scaled",
    "Section",
    "Stretch",
    "above_feet",
    "above_floor",
    "above_weir",
    "affinity",
    "air_gap",
    "circular_section",
    "darcy_head_loss",
    "drain_flow",
    "drain_speed",
    "drip_volume_per_day",
    "floor_from_feet",
    "friction_factor",
    "full_bore_flow",
    "hazen_williams_head_loss",
    "head_loss",
    "hole_flow",
    "hole_volume_per_day",
    "hose_end_above_weir",
    "hose_end_height",
    "manning_speed",
    "max_crest",
    "open_area",
    "operating_point",
    "partial_multipliers",
    "pressure_of_head",
    "pump_duty",
    "pump_head",
    "run_head",
    "siphon_flow",
    "siphon_head",
    "siphon_outlet",
    "siphon_speed",
    "stack_capacity",
    "standpipe_run",
    "standpipe_volume",
    "step_k",
    "terminal_length",
    "terminal_speed",
    "time_to_overflow",
    "tub_fill_time",
    "vent_distance",
]
