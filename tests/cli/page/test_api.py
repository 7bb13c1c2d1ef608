"""For other programs: the command line's bytes, a description that holds, and refusals that say how to mend."""

import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from dryfloor.cli.page import middleware
from dryfloor.cli.page.answers.address import Address, query
from dryfloor.cli.page.api import description
from dryfloor.engine.case.case_file import dump
from dryfloor.engine.case.events import Event
from tests.support.random_cases import cases

FREE = settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


def without_place(text):
    """Take the name of the input out of errors: a body is no standard input."""
    return text.replace("<body>", "<stdin>")


@FREE
@given(data=st.data())
def test_advise_gives_the_bytes_of_the_command_line(kb, shared, run, data):
    events = [Event(role=data.draw(st.sampled_from(["homeowner", "desk", "technician"]))), *data.draw(cases(kb))]
    gates = [
        Event(cleared=h) for h in data.draw(st.sets(st.sampled_from([h for h, r in kb.hazards.items() if r.gate])))
    ]
    text = dump([*events, *gates])
    told = run("advise", "-", "--json", typed=text)
    got = shared.post("/advise", content=text, headers={"content-type": "application/yaml"})
    if told.code == 3:
        assert got.status_code == 422  # the command line has no words for answers that can't all be true
        return
    assert without_place(got.text) == told.out
    assert got.status_code == (200 if told.code in (0, 1, 5) else 422)


@FREE
@given(data=st.data())
def test_the_page_shows_the_card_of_the_command_line(kb, shared, run, data):
    from tests.support.forms import Reader

    events = data.draw(cases(kb))
    told = run("advise", "-", "--json", typed=dump([Event(role="homeowner"), *events]))
    got = shared.get("/case?" + query(Address(events=tuple(events))))
    if told.code not in (0, 1, 5):
        assert got.status_code == 422
        return
    page = Reader()
    page.feed(got.text)
    text, card = " ".join(" ".join(page.text).split()), json.loads(told.out)["data"]["card"]
    assert got.status_code == 200
    if card:
        for said in (card["question"], card["how"], *card["steps"], *(n["says"] for n in card["notes"])):
            assert " ".join(said.split()) in text
        if card["kind"] in ("check", "fact", "remedy"):
            values = [b[1] for f in page.forms for b in f.buttons if b[0] == "said"]
            assert [c["id"] for c in card["choices"]] == [v for v in values if v not in ("skip", "can't")]


@pytest.mark.parametrize(
    "words", ["it hops about like a goat", "my dryer won't heat", "", "gas smell, and it walks", "\0\u2028\U0001f600"]
)
def test_hear_gives_the_bytes_of_the_command_line(shared, run, words):
    got = shared.post("/hear", json={"words": words})
    assert got.status_code == 200
    assert got.text == run("hear", words, "--json").out


def test_both_forms_of_a_case_and_json_laid_out_with_tabs_are_read(shared):
    short = {"role": "desk", "complaints": ["walks"], "facts": {"floor": "concrete"}}
    listed = {"events": [{"role": "desk"}, {"complaints": ["walks"]}, {"fact": "floor", "is": "concrete"}]}
    tabs = json.dumps(short, indent="\t")
    got = [
        shared.post("/advise", content=c, headers={"content-type": "application/json"})
        for c in (json.dumps(short), json.dumps(listed), tabs)
    ]
    assert {g.status_code for g in got} == {200}
    assert len({g.text for g in got}) == 1


@pytest.mark.parametrize(
    ("path", "body", "kind", "status", "code"),
    [
        ("/advise", b'{"complaints": ["walk"]}', "application/json", 422, "C012"),
        ("/advise", b'{"complaints": ["walks"]', "application/json", 422, "P054"),
        ("/advise", b"", "application/json", 422, "P054"),
        ("/advise", b"complaints: [walks", "application/yaml", 422, None),
        ("/advise", b"\xff\xfe", "application/yaml", 422, None),
        ("/advise", b"&a [*a]", "application/yaml", 422, None),
        ("/advise", b"[" * 50_000, "application/json", 422, None),
        ("/advise", b"{}", "text/html", 415, "P053"),
        ("/hear", b'{"words": 3}', "application/json", 422, "P051"),
        ("/hear", b'{"words": "x", "more": 1}', "application/json", 422, "P051"),
        ("/hear", b'{"words": "' + b"x" * 3000 + b'"}', "application/json", 422, "P052"),
        ("/hear", b"words: x", "application/yaml", 415, "P053"),
        ("/advise", b" " * (middleware.BODY + 1), "application/json", 413, "P413"),
    ],
)
def test_what_can_not_be_used_is_refused_with_the_command_lines_error_objects(shared, path, body, kind, status, code):
    got = shared.post(path, content=body, headers={"content-type": kind})
    told = got.json()
    assert got.status_code == status
    assert list(told) == ["dryfloor", "command", "status", "exit", "data", "errors"]
    assert told["errors"][0]["message"]
    assert code in (None, told["errors"][0]["code"])
    assert "Traceback" not in got.text


def test_another_method_and_another_address_answer_in_the_same_way(shared):
    assert shared.get("/advise").status_code == 405
    assert shared.get("/advise").json()["errors"][0]["code"] == "P405"
    assert shared.get("/advise").headers["allow"] == "POST"
    assert shared.get("/health").json()["status"] == "ok"


def test_a_hazard_without_its_words_is_gated_at_the_command_line_too(run):
    told = json.loads(
        run("advise", "-", "--json", typed="events:\n- {hazard: sewage}\n- {complaints: [slow-fill]}\n").out
    )
    assert told["data"]["next"]["id"] == "sewage"


def test_the_description_names_every_route_and_what_the_records_say(shared):
    told = shared.get("/openapi.json").json()
    assert told == json.loads(json.dumps(description()))
    assert set(told["paths"]) == {"/advise", "/hear", "/health"}
    event = told["components"]["schemas"]["Event"]["properties"]
    assert set(event) == {f.encode_name for f in __import__("msgspec").structs.fields(Event)}


@pytest.mark.slow
def test_schemathesis_finds_nothing_that_ends_in_a_fault(kb):
    # Imported here alone: it takes a second, and every other run of these files goes without.
    import schemathesis
    from schemathesis.checks import not_a_server_error
    from schemathesis.specs.openapi.checks import (
        content_type_conformance,
        response_schema_conformance,
        status_code_conformance,
    )

    from dryfloor.cli.page.app import application
    from dryfloor.cli.page.context import Context

    faults = []
    app = application(Context(kb), faults.append)
    schema = schemathesis.openapi.from_asgi("/openapi.json", app)
    conform = [not_a_server_error, content_type_conformance, response_schema_conformance, status_code_conformance]
    seen = []

    for operation in schema.get_all_operations():
        found = operation.ok()

        @given(case=found.as_strategy())
        @settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
        def sent(case):
            response = case.call()
            seen.append(response.status_code)
            case.validate_response(response, checks=conform)

        sent()
    assert not faults
    assert len(seen) > 300
    assert {200, 422} <= set(seen)
