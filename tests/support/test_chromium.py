"""The browser of the tests, itself: it shows a page, sees what sticks out, and its audit finds what is wrong."""

import pytest

from tests.support.chromium import PAPERS, PHONE, missing, overflow

GOOD = '<!doctype html><html lang="en"><meta charset="utf-8"><title>T</title><main><h1>Wet floor</h1><p>{}</p></main></html>'


@pytest.fixture
def written(tmp_path):
    """Return a function that writes a page and gives its path."""

    def write(body):
        path = tmp_path / "page.html"
        path.write_text(GOOD.format(body), encoding="utf-8")
        return path

    return write


@pytest.mark.slow
def test_it_shows_a_file_and_counts_what_is_asked_for(open_page, written):
    page = open_page(written("dry now"), viewport=PHONE)
    assert page.inner_text("p") == "dry now"
    assert len(page.asked) == 1
    assert len(open_page(written('<img alt="" src="nowhere.png">')).asked) == 2


@pytest.mark.slow
def test_it_sees_what_sticks_out(open_page, written):
    assert overflow(open_page(written("short"), viewport=PHONE)) == []
    assert overflow(open_page(written("w" * 200), viewport=PHONE))[0].startswith("page ")


@pytest.mark.slow
def test_the_audit_finds_a_picture_without_words(open_page, written, audit):
    assert audit(open_page(written("all well"))) == []
    assert [v.split(":")[0] for v in audit(open_page(written('<img src="x.png">')))] == ["image-alt"]


@pytest.mark.slow
@pytest.mark.parametrize("paper", PAPERS)
def test_it_prints(open_page, written, paper):
    assert open_page(written("on paper")).pdf(format=paper).startswith(b"%PDF")


def test_what_is_missing_is_skipped_aloud_and_fails_where_a_run_decides(monkeypatch):
    monkeypatch.delenv("CI", raising=False)
    with (
        pytest.warns(UserWarning, match="NOT TESTED IN A BROWSER: no audit"),
        pytest.raises(pytest.skip.Exception),
    ):
        missing("no audit", "Bring it.")
    monkeypatch.setenv("CI", "true")
    with pytest.raises(pytest.fail.Exception, match="NOT TESTED IN A BROWSER: no audit"):
        missing("no audit", "Bring it.")
