"""The sheet for a wall: every limit of the kb that it names, and words that keep apart."""

import xml.etree.ElementTree as ET

from dryfloor.engine.advising.illustrations import limit_words
from dryfloor.engine.export.poster import DRAWN, TOLD, poster
from dryfloor.engine.knowledge.load import load_kb
from tests.support.places import SMALL


def test_it_has_every_limit_and_is_well_formed(kb):
    sheet = poster(kb)
    text = " ".join(ET.fromstring(sheet).itertext())
    for name in [rule for rule, _ in DRAWN.values()] + [*TOLD]:
        assert limit_words(kb.rules[name]) in text
    assert "licensed trade decides" in text


def test_a_kb_without_these_rules_has_a_sheet_too():
    assert poster(load_kb(SMALL)).endswith("</svg>\n")
