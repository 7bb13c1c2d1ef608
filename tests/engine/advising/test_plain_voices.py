"""What a homeowner and the desk read has no words and no numbers of a trade's own, on any card and in any finding."""

import re

import pytest

from dryfloor.engine.advise import card_of
from dryfloor.engine.advising.analysis import Analysis
from dryfloor.engine.advising.findings import finding
from dryfloor.engine.advising.wording import datum_text, limit_text
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.planning import roles

# Said among technicians; whoever lives there can neither hear, see nor feel it, and the desk can't read it out.
TRADE = re.compile(
    r"frequency|turns a second|rpm\b|\bhertz|\bHz\b|trap (?:weir|arm|seal)|\bweir|ASSE\b|\bAWG\b|branch circuit|nominal|polarized|crown-vented"
    r"|(?<!label )(?<!\")equipment ground(?!\")|receptor|end for end|crimped|standing pressure|hot leg|hot to neutral"
    r"|deflection|resonan|impedance|continuity|multimeter|solenoid|capacitor|escutcheon|tailpiece|fixture unit|air break\b",
    re.IGNORECASE,
)


def found(texts):
    return [
        (where, sorted({m.lower() for m in TRADE.findall(text)}), text) for where, text in texts if TRADE.search(text)
    ]


@pytest.mark.parametrize("role", ["homeowner", "desk"])
def test_no_card_has_a_trades_own_words(kb, role):
    texts = []
    for check in kb.checks.values():
        if not roles.permitted(kb, check, "homeowner"):
            continue
        asked = Event(check=check.id, answer=next(iter(check.answers), None))
        card = card_of(kb, [Event(role=role), Event(complaints=["walks"])], asked)
        texts += [(check.id, t) for t in (card.question, card.how, *card.rule[:1], *(c.says for c in card.choices))]
    assert len(texts) > 900
    assert found(texts) == []


def test_no_finding_tells_a_homeowner_a_trades_own_words(kb):
    analysis = Analysis(network_of(kb), fold(kb, [Event(role="homeowner"), Event(complaints=["walks"])]))
    broken = [c.id for c in kb.causes.values() if c.breaks]
    # A rule's title is a name, and stands as it is.
    texts = [(c, finding(analysis, c, 0.9).rule_text.partition(": ")[2].partition("; ")[0]) for c in broken]
    assert len([t for _, t in texts if t]) > 90
    assert found(texts) == []


def test_a_technician_reads_the_rule_itself(kb):
    rule = kb.rules["floor-off-spin-speed"]
    assert "turns a second" in limit_text(rule)
    assert "turns a second" not in limit_text(rule, expert=False)
    assert datum_text(rule, expert=False) == rule.of  # nothing there is a trade's own
    asked = Event(check="room-shakes", answer="shakes")
    lines = {
        role: card_of(kb, [Event(role=role), Event(complaints=["walks"])], asked).rule[0]
        for role in ("homeowner", "desk", "technician")
    }
    assert lines["homeowner"] == lines["desk"] != lines["technician"]


def test_no_text_names_a_row_of_a_sheet(kb):
    """What a rule differs by, follows from and is measured of is read by people: rows of a list are its sources' own."""
    texts = [
        (r.id, t)
        for r in kb.rules.values()
        for t in (r.of, r.must, r.below, r.above, r.broken, *(n.differs for n in r.neighbours))
        if t
    ]
    assert [x for x in texts if re.search(r"\bcp-\d", x[1])] == []
