"""What a browser has looked at: every page can be opened anew, gone back to and sent twice, and no gate is asked twice within its hour."""

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    Bundle,
    RuleBasedStateMachine,
    consumes,
    initialize,
    invariant,
    rule,
    run_state_machine_as_test,
)

from dryfloor.cli.page.answers import looked
from dryfloor.cli.page.answers.looked import Looked
from dryfloor.cli.page.answers.signing import CLEARED_S, Cleared, Signer
from dryfloor.engine.case.events import Event
from tests.support.forms import Visitor, at_a_stop, clear_gates, gate_word
from tests.support.photos import photo

WALKS = [Event(role="homeowner"), Event(complaints=["walks"])]
GATE = Cleared("walking-machine", 2, 0.0, "w")
LINK = "/case?complaint=siphons"
SMALL = photo(size=(60, 40))
MOST_PHOTOS = 6  # of a case


class Answer:
    """A response, and a request that brings its cookie back."""

    def __init__(self):
        self.cookies = {}

    def set_cookie(self, name, value, **settings):
        self.cookies[name] = value
        self.settings = settings


def test_what_was_cleared_holds_on_the_pages_that_one_was_led_to_and_on_no_other():
    seen = Looked().led_to(WALKS, "", [GATE], 0.0)
    assert seen.cleared(WALKS) == [GATE]
    for other in (WALKS[:1], [*WALKS, Event(skip="floor")], [Event(role="desk"), WALKS[1]]):
        assert seen.cleared(other) == []
    assert seen.cleared(WALKS, "K7M3R4 homeowner 0") == []


def test_a_kept_case_may_have_grown_since_and_not_have_changed():
    seen = Looked().led_to(WALKS, "K homeowner 0", [GATE], 0.0)
    assert seen.cleared([*WALKS, Event(skip="floor")], "K homeowner 0") == [GATE]
    assert seen.cleared([WALKS[0], Event(complaints=["noisy"])], "K homeowner 0") == []
    assert seen.cleared(WALKS, "K homeowner 7") == []


def test_a_cookie_holds_a_long_case_in_4_kb_and_only_from_this_server(clock):
    signer, seen = Signer(b"k" * 32, clock), Looked()
    gates = [Cleared(f"hazard-of-a-long-name-{n}", n, clock.now, "walk-of-12-ab") for n in range(20)]
    events = list(WALKS)
    for n in range(150):
        events.append(Event(skip=f"check-{n}"))
        seen = seen.led_to(events, "", gates[: 1 + n // 10], clock.now)
    made = Answer()
    looked.write(signer, made, seen, True)
    assert len(made.cookies[looked.COOKIE]) < looked.LONGEST
    assert made.settings == {"max_age": CLEARED_S, "httponly": True, "secure": True, "samesite": "lax"}
    back = looked.read(signer, made)
    assert back.cleared(events) == seen.cleared(events) != []
    assert back.there
    assert looked.read(Signer(b"x" * 32, clock), made).cleared(events) == []
    made.cookies[looked.COOKIE] = made.cookies[looked.COOKIE][1:]
    assert looked.read(signer, made) == Looked(there=True)


def test_what_is_over_is_left_out(clock):
    seen = Looked().led_to(WALKS, "", [GATE], 0.0)
    assert seen.led_to(WALKS[:1], "", [GATE], CLEARED_S + 1).pages == []


def test_a_tab_that_is_behind_takes_nothing_back_that_another_cleared():
    """The same answer sent from an older tab leads to the page where the other tab cleared a gate since."""
    older, newer = Cleared("gas-smell", 1, 0.0, "a"), Cleared("water-running", 2, 0.0, "b")
    seen = Looked().led_to(WALKS, "kept", [older, newer], 0.0)
    assert {g.hazard for g in seen.led_to(WALKS, "kept", [older], 0.0).cleared(WALKS, "kept")} == {
        "gas-smell",
        "water-running",
    }


def test_every_answer_leads_to_an_address(visit):
    """Reload, back, a lost connection, a discarded tab: whatever is opened anew is the page that stood there."""
    pages = []
    visit.go(LINK).type("said", "dry")
    for button in ("skip", "can't", "skip"):
        pages.append((visit.url, visit.text))
        visit.press(button)
        assert visit.response.request.method == "GET"
    for url, text in (*pages, pages[0]):
        assert visit.go(url).text == text
    assert gate_word(visit) is None


def test_a_form_that_is_sent_twice_says_the_same_once(visit):
    clear_gates(visit.go("/case?complaint=slow-fill")).press("Keep this")
    clear_gates(visit)
    form, first = visit.form("said"), next(c for c in visit.choices if c not in ("skip", "can't"))
    after = visit.send(form, {"said": first}).text
    assert visit.send(form, {"said": first}).text == after
    assert visit.response.status_code == 200


def test_a_stop_can_be_opened_anew_and_sent_on(visit):
    visit.go(LINK).type("said", "not safe")
    assert visit.response.request.method == "GET"
    assert at_a_stop(visit.go(visit.url))
    assert at_a_stop(Visitor(visit.client, {}).go(visit.url))
    assert visit.client.get(LINK + "&stop=wet-floor").status_code == 422


def test_own_words_from_an_older_tab_are_shown_and_a_danger_in_them_counts(serve):
    client = serve()
    visit = clear_gates(Visitor(client).go("/case?complaint=slow-fill")).press("Keep this")
    clear_gates(visit)
    form = visit.form("own")
    visit.press("skip")
    late = visit.send(form, {"own": "an odd purple thread hangs out"})
    assert visit.response.status_code == 409
    assert "an odd purple thread hangs out" in late.text
    assert at_a_stop(visit.send(form, {"own": "I smell gas"})) or gate_word(visit) is not None


class Tabs(RuleBasedStateMachine):
    """Two tabs of one browser at one case each, or at one kept case: nothing is lost, and no gate is asked twice."""

    tabs = Bundle("tabs")
    client = None
    mends = frozenset()

    @initialize(target=tabs, kept=st.booleans())
    def first(self, kept):
        self.cookies = {}
        self.asked, self.typed, self.photos = {}, 0, 0
        visitor = self.open(LINK)
        if kept:
            visitor.press("Keep this")
        self.link = visitor.url
        return visitor

    def open(self, url):
        visitor = Shared(self.client, self)
        self.look(visitor.go(url))
        return visitor

    def look(self, visitor):
        word = gate_word(visitor)
        if word is not None:
            key = (visitor.url, visitor.reader.h1)
            assert key not in self.asked, key
            self.asked[key] = True
            visitor.type("said", word)
            self.look(visitor)

    @rule(target=tabs)
    def second(self):
        return self.open(self.link)

    @rule(tab=tabs, choice=st.integers(0, 3))
    def answer(self, tab, choice):
        if not tab.choices:
            return
        said = tab.choices[choice % len(tab.choices)]
        title = tab.reader.h1
        tab.press(said)
        if tab.response.status_code == 409:
            assert "went on since this page was made" in tab.text
            # What was done of a mend is shown, and not recorded past the mend's gate.
            mend = title in self.mends
            assert said in ("skip", "can't") or mend or "Record it all the same" in tab.text, title
            self.look(tab.go(tab.url))
        else:
            assert tab.response.status_code == 200
            self.look(tab)

    @rule(tab=tabs, first=st.sampled_from(["us", "si"]))
    def units(self, tab, first):
        """Whose units come first changes neither the page nor what was cleared."""
        self.look(tab.go(tab.url))  # another tab may have gone on with the kept case
        at, head = tab.url, tab.reader.h1
        self.look(tab.send(tab.form("first"), {"first": first}))
        assert (tab.url.partition("#")[0], tab.reader.h1) == (at.partition("#")[0], head)

    @rule(tab=tabs)
    def none_of_these(self, tab):
        """Own words are noted, and shown, whatever another tab did since."""
        if not any("own" in f.names for f in tab.reader.forms):
            return
        self.typed += 1
        words = f"Odd thing number {self.typed} here"
        tab.send(tab.form("own"), {"own": words})
        assert words in tab.text, tab.text[:2000]
        if tab.response.status_code == 409:
            tab.go(tab.url)
        self.look(tab)

    @rule(tab=tabs)
    def photo(self, tab):
        """A photo stands in every tab of the kept case, up to the most that it holds."""
        if not any("photo" in f.names for f in tab.reader.forms):
            return
        form = tab.form("photo")
        sent = tab.ask("POST", form.action, files={"photo": ("a.jpg", SMALL, "image/jpeg")}, follow_redirects=False)
        assert sent.status_code in ((303,) if self.photos < MOST_PHOTOS else (303, 409, 413, 422))
        self.photos += sent.status_code == 303
        assert self.photos <= MOST_PHOTOS
        self.look(tab.go(tab.url))
        assert tab.page.count("/small") == self.photos

    @rule(tab=tabs)
    def reload(self, tab):
        self.look(tab.go(tab.url))

    @rule(tab=consumes(tabs))
    def close(self, tab):
        pass

    @invariant()
    def small(self):
        assert len(str(dict(getattr(self, "cookies", {})))) < 4096


class Shared(Visitor):
    """A tab of the machine's one browser."""

    def __init__(self, client, machine):
        super().__init__(client)
        self.machine = machine

    def ask(self, method, url, **more):
        """Ask with the browser's cookies."""
        self.cookies = self.machine.cookies
        try:
            return super().ask(method, url, **more)
        finally:
            self.machine.cookies = self.cookies


@pytest.mark.parametrize("runs", [pytest.param((3, 8)), pytest.param((60, 30), marks=pytest.mark.slow)])
def test_two_tabs_lose_nothing_and_are_asked_once(kb, serve, runs):
    client = serve()

    class Machine(Tabs):
        pass

    Machine.client = client
    Machine.mends = frozenset(c.remedy.title for c in kb.causes.values())
    for rate in (client.context.kept_rate, client.context.photo_rate):
        rate.each = rate.together = 10_000
    run_state_machine_as_test(
        Machine, settings=settings(max_examples=runs[0], stateful_step_count=runs[1], deadline=None)
    )
