"""The desk's door: wrong tokens wait longer and longer, the right one never, and a pass that was given back opens nothing."""

from dryfloor.cli.page.auth import CALLERS, FREE, MOST_WAIT_S, QUIET_S, Guesses
from tests.cli.page.conftest import TOKEN
from tests.support.forms import Visitor


def guess(client, token, **more):
    return client.post("/door", data={"token": token}, follow_redirects=False, **more)


def test_wrong_tokens_wait_twice_as_long_each_time(serve):
    client = serve()
    answers = [guess(client, f"guess {n}") for n in range(FREE + 4)]
    assert [a.status_code for a in answers] == [422] * FREE + [429] * 4
    assert [a.headers["retry-after"] for a in answers[FREE:]] == ["1", "2", "4", "8"]
    assert "the right one opens at once" in answers[-1].text


def test_the_owner_is_never_locked_out(serve):
    client = serve()
    for n in range(60):
        guess(client, f"guess {n}")
        client.get("/desk", headers={"authorization": f"Bearer guess {n}"})
    assert guess(client, TOKEN).status_code == 303
    assert client.get("/desk", headers={"authorization": f"Bearer {TOKEN}"}).status_code == 200


def test_the_right_token_of_a_program_is_no_try(serve):
    client = serve()
    right = {"authorization": f"Bearer {TOKEN}"}
    assert [client.get("/desk/cases", headers=right).status_code for _ in range(60)] == [200] * 60
    assert guess(client, "one wrong").status_code == 422


def test_an_old_token_that_is_sent_again_and_again_is_one_guess(serve):
    client = serve()
    assert {guess(client, "the token of last year").status_code for _ in range(20)} == {422}


def test_guesses_are_counted_by_caller_forgotten_in_time_and_bounded():
    now = [0.0]
    guesses = Guesses(lambda: now[0])
    waits = [guesses.wrong("a", str(n)) for n in range(40)]
    assert waits == sorted(waits)
    assert waits[-1] == MOST_WAIT_S
    assert guesses.wrong("b", "x") == 0
    now[0] += QUIET_S + 1
    assert guesses.wrong("a", "y") == 0
    for n in range(2 * CALLERS):
        guesses.wrong(f"caller {n}", "x")
    assert len(guesses.by) <= CALLERS


def test_a_pass_that_was_given_back_opens_nothing(serve):
    client = serve()
    desk = Visitor(client).go("/door").type("token", TOKEN)
    old = client.cookies["desk"]
    desk.press("Sign out")
    assert desk.url.endswith("/door")
    assert "desk" not in client.cookies
    assert client.get("/desk").status_code == 404
    client.cookies.set("desk", old, path="/desk")
    assert client.get("/desk").status_code == 404
    client.cookies.clear()
    other = Visitor(client).go("/door").type("token", TOKEN)
    assert other.response.status_code == 200
    assert client.context.auth.ended


def test_two_desks_have_passes_of_their_own(serve):
    client = serve()
    first = guess(client, TOKEN).cookies["desk"]
    second = guess(client, TOKEN).cookies["desk"]
    assert first != second
    client.cookies.clear()
    client.cookies.set("desk", first, path="/desk")
    client.post("/desk/leave")
    client.cookies.clear()
    client.cookies.set("desk", second, path="/desk")
    assert client.get("/desk").status_code == 200
