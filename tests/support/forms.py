"""Pages without a browser: reads the forms of a page and sends them as a browser with no script would."""

import html.parser
import urllib.parse


class Form:
    """One form: where it goes, its hidden and typed fields, its checked boxes, its buttons as (name, value, action, text)."""

    def __init__(self, method, action):
        self.method = method
        self.action = action
        self.fields = []
        self.names = set()
        self.buttons = []


class Reader(html.parser.HTMLParser):
    """Collects forms, headings, and the text of a page."""

    VOID = ("input", "meta", "link", "br")

    def __init__(self):
        super().__init__()
        self.forms = []
        self.text = []
        self.h1 = ""
        self.open = []
        self.form = self.button = None
        self.asked = []

    def handle_starttag(self, tag, attrs):
        a = dict(attrs)
        for name in ("src", "href", "action", "formaction", "style", "onclick"):
            if name in a:
                self.asked.append((tag, name, a[name] or ""))
        if tag == "form":
            self.form = Form(a.get("method", "get"), a.get("action", ""))
            self.forms.append(self.form)
        elif tag == "input" and self.form is not None and "name" in a:
            self.form.names.add(a["name"])
            if a.get("type") != "checkbox" or "checked" in a:
                self.form.fields.append((a["name"], a.get("value") or ""))
        elif tag in ("textarea", "select") and self.form is not None and "name" in a:
            self.form.names.add(a["name"])
        elif tag == "button" and self.form is not None:
            self.button = [a.get("name"), a.get("value") or "", a.get("formaction"), ""]
            self.form.buttons.append(self.button)
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        if self.open and self.open[-1] == tag:
            self.open.pop()
        if tag == "form":
            self.form = None
        elif tag == "button":
            self.button = None

    def handle_data(self, data):
        if self.open and self.open[-1] in ("style", "title"):
            return
        self.text.append(data)
        if "h1" in self.open:
            self.h1 += data
        if self.button is not None:
            self.button[3] += data


class Visitor:
    """Somebody with a browser that runs no script.

    Parameters
    ----------
    client : starlette's TestClient
        It follows redirects.
    cookies : mapping, optional
        The cookies of this visitor's browser alone, kept in place of the client's; None: the client's own.
    """

    def __init__(self, client, cookies=None):
        self.client = client
        self.cookies = cookies
        self.url = self.page = self.reader = None

    def ask(self, method, url, **more):
        """Send a request with this browser's cookies."""
        if self.cookies is None:
            return self.client.request(method, url, **more)
        shared, self.client.cookies = self.client.cookies, self.cookies
        try:
            return self.client.request(method, url, **more)
        finally:
            self.cookies, self.client.cookies = self.client.cookies, shared

    def take(self, response):
        """Read an answer of the server."""
        self.response = response
        self.url = str(response.url)
        self.page = response.text
        self.reader = Reader()
        self.reader.feed(self.page)
        return self

    def go(self, url):
        """Open an address."""
        return self.take(self.ask("GET", url))

    @property
    def text(self):
        """All text of the page, in one line."""
        return " ".join(" ".join(self.reader.text).split())

    def form(self, field):
        """The first form with a field or a button of that name."""
        return next(f for f in self.reader.forms if field in f.names or any(b[0] == field for b in f.buttons))

    def send(self, form, more=(), button=None):
        """Send a form with what was typed into it, by a button where it matters which."""
        typed = [(k, v) for k, vs in dict(more).items() for v in (vs if isinstance(vs, list) else [vs])]
        names = set(dict(more))
        pairs = [(k, v) for k, v in form.fields if k not in names] + typed
        if button is not None and button[0]:
            pairs.append((button[0], button[1]))
        target = urllib.parse.urljoin(self.url, (button and button[2]) or form.action)
        if form.method == "get":
            return self.take(self.ask("GET", target + "?" + urllib.parse.urlencode(pairs)))
        head = {"content-type": "application/x-www-form-urlencoded"}
        return self.take(self.ask("POST", target, content=urllib.parse.urlencode(pairs), headers=head))

    def type(self, field, value):
        """Type into a field and press Enter."""
        return self.send(self.form(field), {field: value})

    def press(self, text):
        """Press the button with that text, its words or its value."""
        for form in self.reader.forms:
            for button in form.buttons:
                if text in (" ".join(button[3].split()), button[1]):
                    return self.send(form, {}, button)
        raise AssertionError(
            f"no button '{text}' at {self.reader.h1!r}: {[b[3] for f in self.reader.forms for b in f.buttons]}"
        )

    @property
    def choices(self):
        """The values of the buttons that answer the card."""
        return [b[1] for f in self.reader.forms for b in f.buttons if b[0] == "said"]


def clear_gates(visitor, most=6):
    """Answer each gate with its word, as somebody does who looked and found it safe."""
    for _ in range(most):
        word = gate_word(visitor)
        if word is None:
            return visitor
        visitor.type("said", word)
    return visitor


def gate_word(visitor):
    """Return the word that the gate in front asks for, or None where there is no gate."""
    _, found, rest = visitor.text.partition("If all is safe, type the word ")
    return rest.split()[0] if found else None


def at_a_stop(visitor):
    """Return whether the page says what to do now, and offers no answer."""
    return "Do this now" in visitor.text and "It is safe now: ask me again" in visitor.text
