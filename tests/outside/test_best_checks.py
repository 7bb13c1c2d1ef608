"""The list of the best outside checks: each stands in a test that is named after its source and says its grade."""

import ast
import re
from pathlib import Path

import pytest

HERE = Path(__file__).parent
# What is checked, the file named after its source, the test, its grade.
CHECKS = [
    ("stack capacity 7/24", "nspc_2006_table_13_6_1", "test_whole_gallons", "P"),
    ("the same from roof area", "nspc_2006_table_13_6_1", "test_roof_area_recovers_the_unrounded_capacity", "P"),
    ("stack form in inches and SI", "en_12056_3", "test_si_form_over_inch_form", "S"),
    ("Manning by depth", "nspc_2009_appendix_k", "test_multipliers_on_half_full", "P"),
    ("Manning, full pipe", "manning_open_example", "test_eight_inch_full", "S"),
    ("UPC standpipe top", "upc_804_1", "test_standpipe_top_over_the_floor", "P"),
    ("weir to vent", "ipc_909_1", "test_weir_to_vent_is_the_bore_over_the_slope", "S"),
    ("siphon speed", "siphon_speeds", "test_textbook_and_exam", "S"),
    ("pipe friction, 13 rows", "illinois_77_906", "test_row", "P"),
    ("friction factor", "fluids_friction_constants", "test_colebrook", "P"),
    ("pump meets system", "pump_practice_question", "test_straight_curve", "S"),
    ("wave speed and hammer", "hammer_tutorial_sheet", "test_problem_3", "S"),
    ("hot fraction, 22 entries", "water_heater_sheet", "test_hot_share", "P"),
    ("hole leak, three holes", "hole_leak_pages", "test_town_page", "P"),
    ("hole leak, 1/32 in", "hole_leak_pages", "test_epa", "S"),
    ("drips per gallon", "usgs_epa_drips", "test_drips_per_gallon", "P"),
    ("voltage drop, K 12.9", "voltage_drop_pages", "test_k_pages", "S"),
    ("ground-fault time", "ul_943", "test_published_times", "S"),
    ("receptacle sum", "power_quality_guide", "test_sum_of_a_loaded_outlet", "P"),
    ("drum g", "doe_extractor", "test_drum_g", "P"),
    ("rotating unbalance", "inman", "test_5_8_a_washing_machine_swings_and_pushes_the_floor", "P"),
    ("transmissibility", "inman", "test_5_6_a_machine_on_mounts", "P"),
    ("base motion", "rao", "test_base_motion", "S"),
    ("stiffness span, 21 entries", "irc_2018_table_r802_5_1_2", "test_entry", "P"),
    ("deflection and frequency", "bme_8_1", "test_at_3_24_m_the_sag_limit_and_5_hz_coincide", "P"),
    ("floor frequency", "eurocode5_notebook", "test_first_frequency", "S"),
    ("screw torque", "shigley", "test_8_3b_by_the_torque_coefficient", "P"),
    ("screw torque by its thread", "shigley", "test_8_3c_by_the_thread", "P"),
    ("tip angle", "tipping_problems", "test_wolfson_12_48", "S"),
    ("tip angle of a cube", "tipping_problems", "test_cube_with_a_high_middle", "S"),
    ("decibels, two sounds", "hk_epd_decibels", "test_guide", "S"),
    ("decibels by difference", "hk_epd_decibels", "test_table_4", "P"),
    ("lumped cooling", "cengel_cooling", "test_example_4_1", "S"),
    ("glycol", "lange", "test_table", "P"),
    ("glycol by a second library", "lange", "test_against_coolprop", "D"),
    ("lifting", "niosh_94_110", "test_example_4_origin", "S"),
    ("lifting, destination", "niosh_94_110", "test_example_4_destination", "S"),
    ("global risk", "jcgm106", "test_ball_bearings", "S"),
    ("tape class two", "jcgm106", "test_tape_class_two", "S"),
]  # fmt: skip


def docstrings(source: str) -> dict[str, str]:
    """Return each test of a file with the text that speaks for it: its own, and its file's."""
    tree = ast.parse((HERE / f"test_{source}.py").read_text())
    return {
        n.name: f"{ast.get_docstring(tree)} {ast.get_docstring(n)}" for n in tree.body if isinstance(n, ast.FunctionDef)
    }


@pytest.mark.parametrize(("what", "source", "test", "grade"), CHECKS, ids=[c[0] for c in CHECKS])
def test_it_is_checked_where_its_source_is_named(what: str, source: str, test: str, grade: str) -> None:
    found = docstrings(source)
    assert test in found, what
    assert re.search(rf"\b{grade}\b", found[test]), f"{what}: grade {grade} is not named"


def test_every_file_here_names_a_grade() -> None:
    for path in sorted(HERE.glob("test_*.py")):
        text = ast.get_docstring(ast.parse(path.read_text())) or ""
        body = path.read_text()
        assert text, path.name
        assert re.search(r"\(?\b[PSMCD]\b", body), path.name
