"""What a page weighs with its sheet and its pictures: under 60 kB for every card, gate, fix and finding of the kb, photos and all."""

import re
from urllib.parse import urlencode

import pytest

from tests.cli.page.test_browser import MOST_KB
from tests.cli.page.test_first_screen import all_cards, context, css, drawn  # noqa: F401
from tests.cli.page.test_photos import case, send
from tests.support.forms import Visitor, clear_gates
from tests.support.photos import noise


def heaviest(sizes):
    """The heaviest of some pages, told where the test fails; with `-s` always."""
    name, size = max(sizes.items(), key=lambda x: x[1])
    print(f"heaviest of {len(sizes)}: {name}, {size / 1000:.1f} kB")
    return size / 1000


def test_every_card_gate_and_fix_is_light(kb, context, css):  # noqa: F811
    sizes = {name: len(drawn(context, card).encode()) + len(css.encode()) for name, card in all_cards(kb)}
    assert len(sizes) > 300
    assert heaviest(sizes) < MOST_KB


def found(cause):
    """The address of a case in which a cause is found: all that the kb's own first case of it gives."""
    given = cause.cases[0].given
    said = [("complaint", c) for c in given.complaints or [cause.shows[0].complaint]]
    said += [("fact", f"{name}:{option}") for name, option in given.facts.items()]
    return "/case?" + urlencode(said + [("check", f"{name}:{answer}") for name, answer in given.answers.items()])


@pytest.mark.slow
def test_every_finding_is_light(kb, serve, css):  # noqa: F811
    visit, sizes, findings = Visitor(serve(store=False)), {}, 0
    for reader in ("in, gal, °F", "cm, L, °C"):
        visit.go("/").press(reader)
        for cause in (c for c in kb.causes.values() if c.cases and c.shows):
            clear_gates(visit.go(found(cause)))
            findings += 'class="found"' in visit.page
            sizes[cause.id, reader] = len(visit.page.encode()) + len(css.encode())
    assert len(sizes) > 300
    assert findings > 100
    assert heaviest(sizes) < MOST_KB


def test_a_case_with_all_its_photos_is_light(serve, css):  # noqa: F811
    client = serve()
    visit, where = case(client)
    for _ in range(6):
        assert send(client, where, noise((1200, 900))).status_code == 303
    visit.go(where)
    small = sum(len(client.get(src).content) for src in re.findall(r'<img src="([^"]+)"', visit.page))
    assert small > 6 * 500
    assert (len(visit.page.encode()) + len(css.encode()) + small) / 1000 < MOST_KB
