"""What a made-up site reads is something that there is."""

from dryfloor.engine.measurement import quantity
from dryfloor.engine.simulation.world import Installation


def test_nothing_reads_a_size_that_is_not_made(kb):
    """The belief leaves such values out, so a site that had one would be misread, and what is learned of many of them would be wrong."""
    check = kb.checks["standpipe-bore"]
    rule = kb.rules[check.rule]
    size, low = (quantity.parse(text, "length") for text in (rule.size_below, rule.min))
    for n in range(40):
        said = quantity.parse(Installation(f"bore {n}", {}, frozenset(), {}).reads(kb, check, "below"), "length")
        assert not size + 1e-3 < said < low
