"""Pictures on the page: on its cards, to what is known, within its weight; and each at its own address."""

import re

import pytest

from dryfloor.cli.page.app import Styled
from tests.support.chromium import audit, chromium, for_files, open_page, overflow  # noqa: F401


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


@pytest.mark.slow
@pytest.mark.parametrize("width", [320, 390, 768, 1280])
def test_a_picture_fits_every_width_and_passes_the_audit(shared, open_page, audit, width):  # noqa: F811
    html = shared.get("/case?complaint=water-hammer&ask=arrester-seen").text
    css = Styled().text.decode()
    page = open_page("about:blank", viewport={"width": width, "height": 800}, java_script_enabled=True)
    page.set_content(re.sub(r'<link rel="stylesheet"[^>]*>', f"<style>{css}</style>", html))
    assert overflow(page) == []
    letters = page.locator(".fig svg").first.bounding_box()["width"] / 320 * 14
    assert letters >= 12
    assert audit(page) == []
