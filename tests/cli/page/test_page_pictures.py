"""Pictures on the page: on its cards, to what is known, within its weight; and each at its own address."""

import pytest


@pytest.mark.parametrize(("name", "status"), [("rule-standpipe-height", 200), ("rule-nothing", 404), ("remedy-x", 404)])
def test_the_page_serves_a_picture_by_its_id(shared, name, status):
    got = shared.get(f"/pictures/{name}.svg")
    assert got.status_code == status
    if status == 200:
        assert got.headers["content-type"].startswith("image/svg+xml")


def test_a_card_of_the_page_has_its_picture_and_little_weight(shared):
    got = shared.get("/case?complaint=water-hammer&ask=arrester-seen")
    assert '<figure class="fig"><svg' in got.text
    assert "arrester: a" in got.text
    assert ">wrong</text>" in got.text
    assert len(got.content) < 60_000


def test_a_fix_has_its_pictures_at_its_steps_and_its_reading_to_scale(shared):
    said = "complaint=siphons&fact=drain:standpipe&check=standpipe-height:31+in&check=hose-sealed:taped"
    got = shared.get(f"/case?{said}")
    assert got.status_code == 200
    assert len(got.content) < 60_000
