"""Which practice judges a site, and that no filled line is dropped without a word."""

from msgspec.structs import replace

from dryfloor.engine.knowledge.machine_sheet import apply_sheet
from dryfloor.engine.paper.filled_sheet import FilledSheet
from dryfloor.engine.survey.assess import survey
from dryfloor.engine.survey.blank_sheet import blank_lines
from dryfloor.engine.survey.practice import aside, replacing, surely
from tests.support.leads import no_leads  # noqa: F401  (of every survey here)

FRONT = {"drain": "standpipe", "machine": "front-loader"}
EUROPE = {"drain": "standpipe", "supply-system": "eu-230"}


def verdicts(kb, facts, readings):
    """Return rule -> verdict of what was judged and counts."""
    done = survey(kb, FilledSheet("x", facts, readings, None, "technician"))
    return {x.rule: x.verdict for x in done.lines if x.counted and x.verdict in ("broken", "too-close", "within")}


def test_a_front_loader_takes_a_lower_pipe(kb):
    low = {"standpipe-height": "30 in"}
    assert verdicts(kb, FRONT, low)["standpipe-height-front-loader"] == "within"
    assert verdicts(kb, {**FRONT, "machine": "top-loader"}, low)["standpipe-height"] == "broken"
    assert (
        verdicts(kb, {"drain": "standpipe"}, low)["standpipe-height"] == "broken"
    )  # what is not known excuses nothing
    assert verdicts(kb, FRONT, {"standpipe-height": "20 in"})["standpipe-height-front-loader"] == "broken"


def test_a_european_site_is_judged_by_its_own_practice(kb):
    usual = {"standpipe-height": "60 cm", "standpipe-bore": "36 mm", "cold-hose-gpm": "5 L/min", "hose-sealed": "loose"}
    found = verdicts(kb, EUROPE, usual)
    assert set(found.values()) == {"within"}
    assert {"standpipe-height-europe", "standpipe-bore-europe", "cold-hose-flow-europe", "drain-air-europe"} <= set(
        found
    )
    broken = verdicts(kb, EUROPE, {"standpipe-height": "50 cm", "standpipe-bore": "25 mm", "hose-sealed": "taped"})
    assert {r for r, v in broken.items() if v == "broken"} >= {
        "standpipe-height-europe",
        "standpipe-bore-europe",
        "drain-air-europe",
    }


def test_no_code_of_another_country_judges_a_european_site(kb):
    replaced = replacing(kb, EUROPE)
    for rule in kb.rules.values():
        if rule.authority == "code" and rule.edition and rule.edition.startswith(("UPC", "IPC", "IRC", "NEC", "IMC")):
            assert aside(kb, rule, EUROPE, replaced), rule.id
    assert not {"outlet-holes", "outlet-voltage", "outlet-distance"} & {
        c.id for c in blank_lines(kb, "technician", EUROPE)
    }
    assert {"socket-earth", "socket-voltage", "hose-sealed"} <= {c.id for c in blank_lines(kb, "technician", EUROPE)}


def test_a_machines_own_limit_is_replaced_by_no_practice(kb):
    own = apply_sheet(kb, kb.machines["brook-front-loader"])
    assert "standpipe-height" not in replacing(own, FRONT)
    assert verdicts(own, FRONT, {"standpipe-height": "23 in"})["standpipe-height"] == "broken"


def test_a_low_tub_convicts_nobody_by_39_in_alone(kb):
    sheet = FilledSheet("x", {"drain": "tub"}, {"tub-rim-height": "34 in"}, None, "technician")
    done = survey(kb, sheet)
    found = next(x for x in done.lines if x.rule == "tub-rim-height")
    assert (found.verdict, found.counted) == ("broken", False)
    assert "water line" in found.text
    assert done.findings == []
    assert "fill-and-watch" in {m.id for m in done.missing}
    own = apply_sheet(
        kb, kb.machines["meadow-top-loader"]
    )  # its water line: 29 in; the hose hangs 4 in below a rim of 26 in
    low = survey(own, replace(sheet, readings={"tub-rim-height": "26 in"}))
    assert "tub-hose-end-above-water-line" in {r for f in low.findings for r in f.rules}


def test_surely_takes_nothing_for_granted():
    assert surely({}, {})
    assert not surely({"drain": "tub"}, {})
    assert not surely({"drain": ["tub"]}, {"drain": "standpipe"})
