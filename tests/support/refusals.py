"""Cases that are refused: the problems of a text, and what a command says of it, as words and as JSON."""

import msgspec
import pytest

from dryfloor.cli.result import Exit
from dryfloor.engine.case.case_file import parse_case
from dryfloor.engine.errors import InvalidInputError


def problems_of(kb, text):
    """Return the problems of a case's text."""
    with pytest.raises(InvalidInputError) as caught:
        parse_case(kb, text.encode() if isinstance(text, str) else text, "visit.yaml")
    assert not caught.value.kb
    return caught.value.problems


def refused(run, *argv, typed=""):
    """Run a command that must be refused, as text and as JSON; return what people read."""
    done = run(*argv, typed=typed)
    assert done.code == Exit.USAGE, (done.out, done.err)
    assert done.out == ""
    assert "Traceback" not in done.err
    enveloped = run(*argv, "--json", typed=typed)
    data = msgspec.json.decode(enveloped.out)
    assert (enveloped.code, data["exit"], data["status"]) == (Exit.USAGE, Exit.USAGE, "refused")
    assert data["errors"]
    assert all(e["code"] and e["message"] and e["mend"] for e in data["errors"])
    assert enveloped.err == ""
    return done.err
