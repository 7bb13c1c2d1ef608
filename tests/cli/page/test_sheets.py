"""The way out of a case: ten lines from every screen, a link, a code that reads back, whom to call, and reports; pages counted on paper."""

import re
from urllib.parse import unquote

import pytest
import segno

from dryfloor.cli.page import sheets
from dryfloor.cli.page.contact import Contact, read_contact
from dryfloor.engine.errors import InvalidInputError
from tests.support.chromium import PAPERS, audit, chromium, for_files, open_page, overflow  # noqa: F401
from tests.support.forms import Visitor, clear_gates

LOW = "/case?complaint=siphons&fact=drain:standpipe&check=standpipe-height:31+in&check=hose-sealed:loose&check=hose-depth:5+in"
OUT = "Stop here: what to tell the repairer"


def links(visitor):
    return [t for tag, name, t in visitor.reader.asked if tag == "a" and name == "href"]


@pytest.mark.parametrize(
    "url", ["/case?complaint=siphons", LOW, "/case?complaint=walks&stop=gas-smell", "/case?complaint=walks&heard=noisy"]
)
def test_every_screen_has_the_way_out(visit, url):
    visit.go(url)
    for _ in range(3):
        assert OUT in visit.text
        visit.go(next(t for t in links(visit) if "/tell" in t))
        assert visit.reader.h1 == "What to tell the repairer"
        assert "Until then" in visit.text
        rows = visit.page.count("<dt>")
        assert 3 <= rows <= 10
        clear_gates(visit.go(url))


def test_what_is_told_is_the_case_with_its_dangers(visit):
    clear_gates(visit.go(LOW))
    visit.go(next(t for t in links(visit) if "/tell" in t))
    for said in ("31 in (79 cm)", "standpipe too low", "Bring", "landlord"):
        assert said in visit.text
    assert "nobody has looked yet" not in visit.text  # this browser cleared its gates
    told = Visitor(visit.client, {}).go(visit.url)
    assert "Water near electricity: nobody has looked yet" in told.text
    stopped = visit.go("/case/tell?complaint=walks&stop=gas-smell")
    assert "Smell of gas: it was not safe" in stopped.text


def test_a_link_and_a_code_lead_to_the_case_in_the_homeowners_voice(visit):
    visit.go("/case/tell?complaint=siphons&fact=drain:standpipe")
    link = "http://testserver/case?complaint=siphons&fact=drain:standpipe"
    assert link in links(visit)
    assert "<svg" in visit.page
    pixels = re.findall(r' d="([^"]+)"', visit.page)[-1]
    assert "javascript" not in visit.page
    wanted = segno.make(link, error="l", micro=False)
    # Drawn as it is meant: the dark modules of each row, counted from the path, are those of the matrix.
    assert sum(int(n) for n in re.findall(r"h(\d+)", pixels)) == sum(sum(row) for row in wanted.matrix)
    assert (
        "too long for a code" in visit.go("/case/tell?" + "&".join(["complaint=siphons"] + ["skip=onset"] * 150)).text
    )


def test_a_firm_that_is_named_is_called_and_written_to(serve):
    client = serve()
    client.context.contact = Contact(name="Alder Repairs", phone="+1 555 010 0134", email="desk@example.com")
    visit = Visitor(client).go(LOW.replace("/case?", "/case/tell?"))
    assert "tel:+15550100134" in links(visit)
    mail = next(t for t in links(visit) if t.startswith("mailto:"))
    assert mail.startswith("mailto:desk@example.com?subject=What%20to%20tell")
    assert "standpipe height 31 in" in unquote(mail)
    assert "Call Alder Repairs" in visit.text


def test_the_report_is_there_for_both_readers(visit):
    for reader, word in (("homeowner", "likely"), ("technician", "in 100")):
        page = visit.go(LOW.replace("/case?", "/case/report?") + f"&for={reader}")
        assert page.response.status_code == 200
        assert word in page.text
        policy = page.response.headers["content-security-policy"]
        assert "'unsafe-inline'" not in policy
        assert policy.startswith("default-src 'none'; style-src 'sha256-")


def test_a_kept_case_has_its_number_on_every_sheet(serve):
    visit = Visitor(serve())
    clear_gates(visit.go("/case?complaint=slow-fill")).press("Keep this")
    number = re.search(r"Kept as case (\w+) ?: quote this number when you call", visit.text)[1]
    visit.go(next(t for t in links(visit) if "/tell" in t))
    assert f"Case number {number}" in visit.text
    assert visit.url.startswith("http://testserver/kept/")
    assert visit.go(visit.url.replace("/tell", "/report")).response.status_code == 200


def test_the_desk_hands_over_what_it_cleared_on_this_call(serve):
    from tests.cli.page.conftest import TOKEN

    client = serve()
    desk = Visitor(client, {}).go("/door").type("token", TOKEN)
    clear_gates(desk.go("/desk?complaint=siphons"))
    desk.go("/desk/hand-over?complaint=siphons")
    assert "was clear when asked" in desk.text
    assert "not cleared" not in desk.text
    assert desk.go("/desk/tell?complaint=siphons").reader.h1 == "What to tell the repairer"
    assert Visitor(client, {}).go("/desk/tell?complaint=siphons").response.status_code == 404


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("phone: call me", "is no phone number"),
        ("email: nobody", "is no address for mail"),
        ("fax: 12", "is nothing that a contact has"),
        ("", "nobody is named"),
        ("name:", "is empty"),
        ("email: a@b.c?bcc=x@y.z", "is no address for mail"),
    ],
)
def test_a_contact_that_can_not_be_used_says_which_line(tmp_path, text, says):
    path = tmp_path / "contact"
    path.write_text(text)
    with pytest.raises(InvalidInputError) as refused:
        read_contact(str(path))
    assert says in refused.value.problems[0].message


def test_a_contact_is_read(tmp_path):
    path = tmp_path / "contact"
    path.write_text("# ours\nname: Alder Repairs\nphone: (555) 010-0134\n")
    assert read_contact(str(path)) == Contact(name="Alder Repairs", phone="(555) 010-0134")
    with pytest.raises(InvalidInputError):
        read_contact(str(tmp_path / "none"))


def test_a_code_is_only_drawn_where_it_can_be_scanned():
    assert sheets.code_of("https://example.com/" + "x" * sheets.CODE_MOST) == ""


def count(pdf):
    return len(re.findall(rb"/Type\s*/Page[^s]", pdf))


@pytest.fixture(scope="module")
def live(kb):
    from tests.cli.page.test_browser import running

    with running(kb) as url:
        yield url


@pytest.mark.slow
@pytest.mark.parametrize("paper", PAPERS)
def test_pages_on_paper_are_counted(live, open_page, paper):  # noqa: F811
    crowded = LOW + "&complaint=walks&check=rocks-by-hand:rocks&fact=floor:wood-joists&cant=noise-kind"
    for url, most in (("tell", 1), ("report", 2)):
        for case in (LOW, crowded):
            page = open_page(live + case.replace("/case?", f"/case/{url}?"), java_script_enabled=False)
            assert count(page.pdf(format=paper)) <= most, (url, case)
