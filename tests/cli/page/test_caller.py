"""Who calls and from where: proxies are believed only where they are named, and forms only of this server's own pages."""

import asyncio

import pytest
from starlette.requests import Request

from dryfloor.cli.page.caller import Forwarded, caller, networks
from dryfloor.engine.errors import InvalidInputError
from tests.cli.page.conftest import TOKEN

FORMS = ["/case?complaint=walks", "/keep?complaint=walks", "/kept/{token}", "/kept/{token}/forget", "/door", "/desk?complaint=walks",
         "/desk/keep?complaint=walks", "/desk/leave", "/desk/forget-unopened", "/desk/cases/{case}", "/desk/cases/{case}/forget", "/desk/cases/{case}/handed-on"]  # fmt: skip
ELSEWHERE = [{"sec-fetch-site": "cross-site"}, {"sec-fetch-site": "same-site"}, {"origin": "https://elsewhere.example"}, {"origin": "null"}]  # fmt: skip


def behind(client, proxies, **headers):
    """Return who is seen to call, over what and by which name, where `client` connects with these headers."""
    seen = {}

    async def app(scope, receive, send):
        request = Request(scope)
        seen.update(caller=caller(request), scheme=request.url.scheme, host=request.headers.get("host"))

    scope = {"type": "http", "method": "GET", "path": "/", "query_string": b"", "scheme": "http", "server": ("here", 80), "client": (client, 1),
             "headers": [(b"host", b"here"), *((n.replace("_", "-").encode(), v.encode()) for n, v in headers.items())]}  # fmt: skip
    asyncio.run(Forwarded(app, networks(proxies))(scope, None, None))
    return seen["caller"], seen["scheme"], seen["host"]


SAYS = {
    "x_forwarded_for": "198.51.100.9, 203.0.113.4",
    "x_forwarded_proto": "https",
    "x_forwarded_host": "shop.example",
}


def test_a_named_proxy_is_believed_and_nobody_else():
    assert behind("10.0.0.7", ["10.0.0.7"], **SAYS) == ("203.0.113.4", "https", "shop.example")
    assert behind("10.0.0.8", ["10.0.0.7"], **SAYS) == ("10.0.0.8", "http", "here")
    assert behind("10.0.0.8", [], **SAYS) == ("10.0.0.8", "http", "here")


@pytest.mark.parametrize(
    ("hops", "wanted"),
    [
        ("198.51.100.9, 203.0.113.4, 10.0.0.9", "203.0.113.4"),  # two proxies in a row
        ("127.0.0.1, 203.0.113.4", "203.0.113.4"),  # what the caller itself wrote is not believed
        ("203.0.113.4:51234", "203.0.113.4"),
        ('"[2001:db8:1:2:3::9]:443"', "2001:db8:1:2::/64"),
        ("2001:db8:1:2:ffff::1", "2001:db8:1:2::/64"),  # one household has as many addresses as it likes
        ("::ffff:203.0.113.4", "203.0.113.4"),
        ("unknown", "10.0.0.7"),
        ("203.0.113.4, <script>", "10.0.0.7"),
        ("", "10.0.0.7"),
        (",".join(["10.0.0.9"] * 5000), "10.0.0.9"),
    ],
)
def test_the_caller_is_the_last_hop_that_is_no_proxy(hops, wanted):
    assert behind("10.0.0.7", ["10.0.0.0/24"], x_forwarded_for=hops)[0] == wanted


def test_a_scheme_that_is_none_is_not_taken():
    assert behind("10.0.0.7", ["10.0.0.7"], x_forwarded_proto="ftp")[1] == "http"
    assert behind("10.0.0.7", ["10.0.0.7"], x_forwarded_proto="http, https")[1] == "https"


@pytest.mark.parametrize("text", ["proxy.example", "10.0.0.0/99", "", "10.0.0.7:80"])
def test_a_proxy_that_is_no_address_is_refused(run, text):
    with pytest.raises(InvalidInputError, match="P076"):
        networks([text])
    assert run("serve", "--port", "0", f"--proxy={text}").code == 2


@pytest.mark.parametrize("form", FORMS)
def test_no_form_of_another_site_does_anything(serve, form):
    client = serve()
    token = client.post("/keep?complaint=slow-fill", follow_redirects=False).headers["location"].rpartition("/")[2]
    client.post("/door", data={"token": TOKEN})
    keeping = client.context.keeping

    def rows():
        return keeping.thread.submit(
            lambda: [(line, keeping.store.events(line.id)) for line in keeping.store.find()]
        ).result()

    before = rows()
    path = form.format(token=token, case=before[0][0].id)
    said = {"said": "skip", "token": TOKEN, "days": "0", "words": "I smell gas"}
    for headers in ELSEWHERE:
        got = client.post(path, data=said, headers=headers, follow_redirects=False)
        assert got.status_code == 403
        assert "set-cookie" not in got.headers
    assert rows() == before
    for headers in ({"sec-fetch-site": "same-origin"}, {"origin": "http://testserver"}, {}):
        assert client.post("/case?complaint=walks", data=said, headers=headers).status_code == 200


def test_over_tls_the_pass_is_for_tls_alone_and_redirects_stay_there(kb, tmp_path):
    from dryfloor.cli.page.app import application
    from dryfloor.cli.page.context import Context
    from tests.cli.page.conftest import TestClient

    for proxies, secure in ((["127.0.0.1"], True), ([], False)):
        app = application(Context(kb, None, None, TOKEN, proxies=networks(proxies)))
        with TestClient(app, client=("127.0.0.1", 50000)) as client:
            told = {"x-forwarded-proto": "https", "x-forwarded-host": "shop.example"}
            made = client.post("/door", data={"token": TOKEN}, headers=told, follow_redirects=False)
            assert ("Secure" in made.headers["set-cookie"]) == secure
            assert ("strict-transport-security" in made.headers) == secure
            moved = client.get("/case/?complaint=walks", headers=told, follow_redirects=False)
            assert moved.headers["location"].startswith("https://shop.example/" if secure else "http://testserver/")
            own = told | {"origin": "https://shop.example"}
            status = client.post("/case?complaint=walks", data={"said": "x"}, headers=own).status_code
            assert status == (200 if secure else 403)
