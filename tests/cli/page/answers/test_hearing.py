"""Words on a page: dangers under way are told what to do at once, what was heard is ticked, and nothing that is typed is lost."""

import pytest

from dryfloor.engine.language.foreign import SENTENCES
from tests.support.forms import Visitor, at_a_stop, clear_gates

NOW = {
    "I smell gas": "Leave now. Smell of gas",
    "it gave me a shock": "Don't touch it. A shock or a tingle",
    "there is smoke coming out of the washer": "Leave now if you see smoke or flames. Don't touch a hot plug. Smell of burning",
    "water is gushing out everywhere": "Stop the water now. Water still running",
}


@pytest.mark.parametrize("words", NOW)
def test_a_danger_under_way_is_told_what_to_do_before_anything_is_asked(visit, kb, words):
    visit.go("/").type("words", words)
    assert visit.reader.h1 == NOW[words]
    assert at_a_stop(visit)
    assert "hazard=" in visit.url
    hazard = kb.hazards[visit.url.partition("stop=")[2]]
    # First on the page, before its signal and title only: no question, no list.
    assert visit.text.index(hazard.gate.do_now[0]) < visit.text.index(hazard.gate.call)
    assert hazard.gate.ask.homeowner not in visit.text


def test_the_same_at_a_card_and_what_else_was_said_waits_behind_it(visit):
    clear_gates(visit.go("/case?complaint=slow-fill"))
    visit.type("said", "and now I smell gas, and the pipes bang when it fills")
    assert at_a_stop(visit)
    clear_gates(visit.go(visit.url.replace("&stop=gas-smell", "")))
    assert "bangs" in visit.text or "hammer" in visit.url


@pytest.mark.parametrize("hazard", ["water-running", "gas-smell", "burning-smell", "shock-tingle"])
def test_the_start_has_a_way_to_what_to_do_for_each(visit, hazard):
    visit.go("/")
    links = [target for tag, name, target in visit.reader.asked if name == "href" and f"stop={hazard}" in target]
    assert len(links) == 1
    assert at_a_stop(visit.go(links[0]))


def test_any_sentence_is_heard_in_the_field_of_a_card_and_confirmed_with_facts(visit):
    clear_gates(visit.go("/case?complaint=slow-fill"))
    question = visit.reader.h1
    visit.type("said", "the pipes bang loudly when it fills, it stands on a concrete floor")
    assert "complaint=slow-fill" in visit.url
    assert "heard=water-hammer" in visit.url or "maybe=water-hammer" in visit.url
    visit.press("None of these")
    clear_gates(visit)
    assert visit.reader.h1 == question


def test_a_reading_in_a_story_is_ticked_and_the_card_behind_it_is_skipped(visit):
    visit.go("/").type("words", "it siphons, the water runs out while it fills. the standpipe is 31 in high")
    assert "also=standpipe-height:31+in" in visit.url
    assert "31 in" in visit.text
    visit.press("That is right: go on")
    assert "check=standpipe-height:31+in" in visit.url
    visit.go("/case?complaint=siphons&also=standpipe-height:31+gallons")
    assert visit.response.status_code == 422 or visit.response.status_code == 400


def test_nothing_ticked_is_asked_about(visit):
    visit.go("/case?heard=walks&also=floor:concrete")
    visit.send(visit.form("complaint"), {"complaint": [], "fact": [], "confirm": "yes"})
    assert visit.response.status_code == 422
    assert "nothing that is wrong is ticked" in visit.text.lower()
    visit.press("That is right: go on")
    assert "complaint=walks&fact=floor:concrete" in visit.url


def test_the_three_likeliest_are_one_press_each_and_none_leads_to_one_question(visit):
    visit.go("/case?maybe=walks&maybe=noisy&maybe=water-hammer")
    assert "That is right" not in visit.text
    visit.press("None of these")
    assert "ask=family" in visit.url
    links = [t for _, name, t in visit.reader.asked if name == "href" and "maybe=" in t]
    assert len(links) == 4
    visit.go(next(t for t in links if "maybe=walks" in t))
    visit.press("walks")
    assert "complaint=walks" in visit.url
    assert "maybe" not in visit.url


def test_words_that_fit_nothing_are_asked_about_by_family_first(visit):
    visit.go("/").type("words", "qwertz uiop")
    assert visit.response.status_code == 422
    assert visit.text.index("Is it about") < visit.text.index("Or choose what fits best")
    assert "qwertz uiop" in visit.text


def test_what_is_not_understood_stays_in_a_kept_case_as_a_note(serve):
    client = serve()
    visit = Visitor(client)
    clear_gates(visit.go("/case?complaint=slow-fill")).press("Keep this")
    visit.type("words", "the key is under the flowerpot")
    events = client.context.keeping.thread.submit(
        lambda: client.context.keeping.store.events(client.context.keeping.store.find()[0].id)
    ).result()
    assert events[-1].note == "the key is under the flowerpot"
    assert "kept as a note: 'the key is under the flowerpot'" in visit.text


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("es", "mi lavadora no saca el agua"),
        ("vi", "máy giặt của tôi không xả nước"),
        ("ru", "стиральная машина не сливает"),
    ],
)
def test_another_language_is_told_so_in_that_language(visit, code, words):
    for url, field in (("/", "words"), ("/case?complaint=slow-fill", "said")):
        clear_gates(visit.go(url)).type(field, words)
        assert SENTENCES[code] in visit.text
        assert words in visit.page


def test_what_comes_back_has_no_id_and_no_word_of_the_terminal(visit, kb):
    clear_gates(visit.go("/case?complaint=slow-fill"))
    for typed in ("zzz", "17", "help", "list", "why", ""):
        visit.type("said", typed)
        wrong = visit.text.partition("wrong")[2] or visit.text
        assert "type its number" not in wrong
        assert "type help" not in wrong
    clear_gates(visit.go("/case?complaint=siphons&fact=drain:standpipe&ask=standpipe-height"))
    visit.type("said", "31")
    assert "'standpipe-height'" not in visit.text
    assert "31 in, or 31 cm" in visit.text


def test_gaps_are_offered_units_that_fit_and_what_the_text_says_to_count(visit):
    clear_gates(visit.go("/case?complaint=walks&ask=foot-gap"))
    visit.type("said", "3")
    assert "3 mm, or 3 cards?" in visit.text
    visit.type("said", "3 cards")
    assert "check=foot-gap:3+cards" in visit.url
