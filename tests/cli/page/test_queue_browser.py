"""The queue and the list of kept cases in a real browser: the audit at three widths, nothing beside the screen, and the keyboard alone."""

import re

import pytest

from dryfloor.cli.store.store import Store
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.queue_marks import QueueMark
from tests.cli.page.test_browser import TOKEN, enter, plain, press, running
from tests.support.chromium import audit, chromium, for_files, open_page, overflow  # noqa: F401

pytestmark = pytest.mark.slow
WIDTHS = (320, 768, 1280)


@pytest.fixture
def calls(kb, tmp_path):
    """The address of a server with calls that wait in every way, and the cases by what they are."""
    path = tmp_path / "cases.db"
    told = {
        "stopped": [Event(complaints=["no-drain"]), Event(stopped="burning-smell")],
        "gate": [Event(complaints=["walks"])],
        "plain": [Event(heard="it fills slowly", complaints=["slow-fill"])],
        "soon": [Event(complaints=["slow-fill"]), Event(fact="recent-frost", is_="frost")],
        "part": [Event(complaints=["noisy"]), Event(check="rocks-by-hand", answer="rocks")],
        "ann": [Event(complaints=["slow-fill"])],
    }
    cases = {}
    with Store.open(path) as store:
        for name, events in told.items():
            case = store.begin(f"{name} house, Alder Lane, the second on the left")
            for event in (Event(role="desk"), *events):
                store.add(case, event)
            cases[name] = case
        store.queue(cases["soon"], QueueMark(soon=True))
        store.queue(cases["part"], QueueMark(waits="part", ring_back="2099-01-02T10:00:00Z"))
        store.queue(cases["ann"], QueueMark(has="ann-late-shift"))
    with running(kb, path) as url:
        yield url, cases, path


@pytest.fixture
def desk(calls, open_page):  # noqa: F811
    """A page behind the desk's door, opened by the keyboard alone."""
    page = plain(open_page, calls[0] + "/door", viewport={"width": 1280, "height": 800})
    enter(page, TOKEN)
    return page


def key(page, letter):
    """Press an access key that leads to another page."""
    down = {"type": "keyDown", "modifiers": 1, "key": letter, "code": f"Key{letter.upper()}"}
    code = {"windowsVirtualKeyCode": ord(letter.upper()), "unmodifiedText": letter, "text": letter}
    # What is pressed with Alt types nothing, and the driver's own keyboard then leaves out the letter by which the browser finds the key.
    with page.expect_navigation():
        page.context.new_cdp_session(page).send("Input.dispatchKeyEvent", down | code)


def order(page):
    return [row.get_attribute("id") for row in page.locator("tbody tr").all()]


@pytest.mark.parametrize(
    "where", ["/desk/queue", "/desk/queue?none=1", "/desk/cases", "/desk/cases?cause=nothing+like+it&who=ann", "case"]
)
def test_the_audit_finds_nothing_and_nothing_lies_beside_the_screen(calls, open_page, audit, where):  # noqa: F811
    url, cases, _ = calls
    page = open_page(url + "/door")
    page.fill("#token", TOKEN)
    press(page, "main button")
    page.goto(url + (where if where != "case" else f"/desk/cases/{cases['part']}"))
    found = {}
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 800})
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            if bad := audit(page):
                found[width, scheme] = bad
        if wide := [f for f in overflow(page) if "-99" not in f]:
            found[width, "wide"] = wide
    assert not found


def test_at_every_width_each_figure_is_read_beside_what_it_means(calls, open_page):  # noqa: F811
    """A screen too small for a head above each column says at each cell what it is."""
    url, cases, _ = calls
    page = plain(open_page, url + "/door")
    enter(page, TOKEN)
    page.goto(url + "/desk/queue")
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 800})
        heads = [h.inner_text() for h in page.locator("thead th").all() if h.is_visible()]
        row = page.locator(f"#{cases['ann']}")
        if not heads:
            said = row.evaluate("r => [...r.cells].map(c => getComputedStyle(c, '::before').content)")
            assert ["Who has it" in s for s in said].count(True) == 1, (width, said)
        else:
            assert "Who has it" in heads
        assert re.search(r"A callback is expected to cost \d+ min of a household's time", row.inner_text())
        size = row.locator("td").last.evaluate("e => parseFloat(getComputedStyle(e).fontSize)")
        assert size >= 14


def test_the_next_call_by_the_keyboard_alone(calls, desk):
    url, cases, path = calls
    key(desk, "q")
    assert desk.url == url + "/desk/queue"
    assert order(desk)[0] == cases["stopped"]
    assert order(desk)[-1] == cases["part"]
    # Nobody is named yet: one key, and the field that asks has the focus.
    key(desk, "x")
    assert "Nobody is named who takes the call" in desk.locator("[role=alert]").inner_text()
    enter(desk, "bob")
    assert desk.url == f"{url}/desk/cases/{cases['stopped']}"
    for name in ("gate", "soon", "plain"):
        key(desk, "x")
        assert desk.url == f"{url}/desk/cases/{cases[name]}"
    key(desk, "x")
    assert "No call waits that can be worked on now" in desk.locator("[role=status]").inner_text()
    with Store.open(path, write=False) as store:
        who = {name: store.queued(case).who for name, case in cases.items()}
    assert who == {**dict.fromkeys(cases, "bob"), "part": "", "ann": "ann-late-shift"}


def test_who_has_a_call_and_when_to_ring_back_are_edited_by_the_keyboard_alone(calls, desk):
    _, cases, path = calls
    desk.goto(f"{calls[0]}/desk/cases/{cases['plain']}")
    for _ in range(80):
        desk.keyboard.press("Tab")
        if desk.evaluate("document.activeElement.id") == "who":
            break
    desk.keyboard.type("cy")
    desk.keyboard.press("Tab")
    desk.keyboard.type("2099-01-02 10:00")
    desk.keyboard.press("Tab")
    desk.keyboard.press("ArrowDown")
    desk.keyboard.press("Tab")
    desk.keyboard.press("Space")
    desk.keyboard.press("Tab")
    with desk.expect_navigation():
        desk.keyboard.press("Enter")
    with Store.open(path, write=False) as store:
        stands = store.queued(cases["plain"])
    assert (stands.who, bool(stands.ring_back), stands.waits, stands.soon) == ("cy", True, "part", True)
    assert desk.locator("#who").input_value() == "cy"
    key(desk, "q")
    row = desk.locator(f"#{cases['plain']}").inner_text()
    assert all(word in row for word in ("cy", "needed soon", "waits for the part", "2099"))


def test_a_case_is_found_by_the_keyboard_alone(calls, desk):
    _, cases, _ = calls
    key(desk, "k")
    enter(desk, "lane alder plian")
    assert order(desk)[0] == cases["plain"]
    desk.keyboard.press("Shift+Tab")  # out of the field that has the focus, and in again
    desk.keyboard.press("Tab")
    while desk.evaluate("document.activeElement.tagName") != "SUMMARY":
        desk.keyboard.press("Tab")
    desk.keyboard.press("Enter")
    while desk.evaluate("document.activeElement.id") != "who":
        desk.keyboard.press("Tab")
    enter(desk, "ANN-late-shift")
    assert order(desk) == []
    desk.locator("#text").fill("")
    with desk.expect_navigation():
        desk.keyboard.press("Enter")
    assert order(desk) == [cases["ann"]]
    assert desk.locator("details").get_attribute("open") is not None
