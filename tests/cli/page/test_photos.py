"""Photos of kept cases: added, shown to whoever has the case, bounded, removed, and forgotten with it to the last byte."""

import io

import pytest
from PIL import Image

from dryfloor.cli.page.middleware import PHOTOS, Rate
from dryfloor.cli.store import photos as kept
from dryfloor.cli.store.store import Store
from tests.cli.page.conftest import TOKEN
from tests.support.forms import Visitor, clear_gates
from tests.support.photos import SECRETS, noise, photo


def case(client):
    """A kept case past its gates: a visitor at it, and its address."""
    visit = clear_gates(Visitor(client).go("/case?complaint=slow-fill&fact=onset:new"))
    visit.press("Keep this")
    return visit, visit.url.partition("?")[0]


def send(client, where, raw=None, name="IMG_48.2081N.jpg", kind="image/jpeg"):
    files = {"photo": (name, photo() if raw is None else raw, kind)}
    return client.post(f"{where}/photos", files=files, follow_redirects=False)


def files_of(folder):
    return b"".join(p.read_bytes() for p in folder.iterdir())


def test_a_photo_is_kept_with_the_case_without_place_and_device(serve, tmp_path):
    client = serve()
    visit, where = case(client)
    assert "Add a photo of what is wrong" in visit.text
    sent = send(client, where)
    assert (sent.status_code, sent.headers["location"].partition("#")[2]) == (303, "photos")
    visit.go(where)
    assert 'alt="Photo 1, kept ' in visit.page
    shown = client.get(f"{where}/photos/1")
    assert (shown.headers["content-type"], shown.headers["cache-control"]) == ("image/jpeg", "private, no-store")
    with Image.open(io.BytesIO(shown.content)) as made:
        assert made.size == (400, 300)
    assert len(client.get(f"{where}/photos/1/small").content) < 6000
    raw = files_of(tmp_path)
    assert shown.content in raw
    assert not [s for s in (*SECRETS, b"IMG_48") if s in raw]
    with Store.open(tmp_path / "cases.db", write=False) as store:
        assert store.verify()[2] == []
    assert client.faults == []


def test_the_desk_sees_adds_and_hands_it_over(serve):
    client = serve()
    _, where = case(client)
    send(client, where)
    desk = Visitor(client).go("/door").type("token", TOKEN)
    desk.go("/desk/cases")
    link = next(href for tag, _, href in desk.reader.asked if tag == "a" and href.startswith("/desk/cases/"))
    clear_gates(desk.go(link))
    assert f'src="{link}/photos/1/small"' in desk.page
    assert client.get(f"{link}/photos/1").content == client.get(f"{where}/photos/1").content
    assert send(client, link, photo("PNG"), "x.png", "image/png").status_code == 303
    assert f'href="{link}/photos/2"' in desk.go(f"{link}/hand-over").page
    assert "2 photos are with the case" in desk.go(f"{link}/tell").text
    client.post("/desk/leave")
    for path in ("photos/1", "photos/1/small"):
        assert client.get(f"{link}/{path}").status_code == 404
    assert client.post(f"{link}/photos/1/remove").status_code == 404
    assert send(client, link).status_code == 404


def test_it_is_told_by_content_and_not_by_name(serve):
    client = serve()
    visit, where = case(client)
    assert send(client, where, photo("WEBP"), "page.html", "text/html").status_code == 303
    refused = send(client, where, b"<html><script>1</script></html>", "x.jpg")
    assert refused.status_code == 422
    assert "This is no photo that I can read" in refused.text
    assert f'href="{where.removeprefix("http://testserver")}#photos"' in refused.text
    assert send(client, where, b"").status_code == 422
    assert client.post(f"{where}/photos", data={"photo": "text"}).status_code == 422
    assert (
        client.post(f"{where}/photos", content=b"x", headers={"content-type": "multipart/form-data"}).status_code == 422
    )
    broken = {"content-type": "multipart/form-data; boundary=b"}
    assert client.post(f"{where}/photos", content=b"--b\r\n\xff\r\n\r\n--", headers=broken).status_code == 422
    assert len(visit.go(where).page.split("<img")) == 2
    assert client.faults == []


def test_photos_are_bounded_by_case_by_store_by_caller_and_by_size(serve, monkeypatch):
    client = serve()
    _, where = case(client)
    small = photo(size=(40, 30))
    assert [send(client, where, small).status_code for _ in range(kept.MOST + 1)] == [303] * kept.MOST + [422]
    assert "as many as one may have" in send(client, where, small).text
    assert send(client, where, b"\xff" * (12 * 1024 * 1024)).status_code == 413
    _, other = case(client)
    monkeypatch.setattr(kept, "MOST_BYTES", 5000)
    assert "no more are kept" in send(client, other, small).text
    client.context.photo_rate = Rate(2, 9, 600.0)
    assert [send(client, other, small).status_code for _ in range(3)][-1] == 429


def test_no_more_large_bodies_at_once_than_memory_has_room_for(serve):
    client = serve()
    _, where = case(client)
    stack = client.app.middleware_stack
    while not hasattr(stack, "photos"):
        stack = stack.app
    stack.photos = PHOTOS
    big = photo(size=(1600, 1200), quality=95) + b"\0" * 70_000
    crowded = send(client, where, big)
    assert (crowded.status_code, "try again" in crowded.text.lower()) == (503, True)
    stack.photos = 0
    assert send(client, where, big).status_code == 303
    assert stack.photos == 0


def test_nobody_else_sees_it_or_sends_one(serve):
    client = serve()
    _, where = case(client)
    _, other = case(client)
    send(client, where)
    for path in (f"{other}/photos/1", f"{where}/photos/2", f"{where}/photos/{10**30}", "/kept/guess/photos/1"):
        assert client.get(path).status_code == 404
    assert send(client, "/kept/guess").status_code == 404
    foreign = {"origin": "https://elsewhere.example"}
    made = client.post(f"{where}/photos", files={"photo": ("a.jpg", photo())}, headers=foreign)
    assert made.status_code == 403
    assert client.post(f"{where}/photos/1/remove", headers=foreign).status_code == 403
    assert client.post(f"{other}/photos/1/remove").status_code == 200
    assert client.get(f"{where}/photos/1").status_code == 200


@pytest.mark.parametrize("way", ["remove", "forget"])
def test_what_is_removed_or_forgotten_is_gone_from_the_file(serve, tmp_path, way):
    client = serve()
    visit, where = case(client)
    send(client, where, noise())
    body, small = client.get(f"{where}/photos/1").content, client.get(f"{where}/photos/1/small").content
    raw = files_of(tmp_path)
    # Longer than a page it is cut into pieces: each of them counts.
    pieces = [b[at : at + 64] for b in (body, small) for at in range(700, len(b) - 64, 1009)]
    assert sum(p in raw for p in pieces) > len(pieces) / 2
    if way == "remove":
        visit.go(where).press("Remove photo 1 for good")
        assert "Photo 1" not in visit.text
    else:
        visit.go(f"{where}/forget")
        assert "and its photos" in visit.text
        visit.press("Yes, forget it for good")
    assert not [p for p in pieces if p in files_of(tmp_path)]
    assert client.get(f"{where}/photos/1").status_code == 404
    with Store.open(tmp_path / "cases.db") as store:
        assert store.verify()[2] == []


def test_an_address_that_is_not_kept_has_no_photos(serve):
    client = serve(store=False)
    assert send(client, "/case").status_code == 404
    visit = clear_gates(Visitor(client).go("/case?complaint=slow-fill&fact=onset:new"))
    assert "photo" not in visit.text
