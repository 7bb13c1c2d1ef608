"""Whom a firm names to be called: `serve --contact FILE`, a few lines of `name:`, `phone:`, `email:`."""

import re
from pathlib import Path
from urllib.parse import quote

from msgspec import Struct

from ...engine.errors import InvalidInputError, Problem, nearest, one_of
from ...engine.language.sanitize import printable

KEYS = ("name", "phone", "email")
MOST = 2000  # bytes of the file
PHONE = re.compile(r"\+?[(0-9][0-9 ().-]{3,24}")
EMAIL = re.compile(r"[A-Za-z0-9._%+-]{1,64}@[A-Za-z0-9-]+(?:\.[A-Za-z0-9-]+)+")


class Contact(Struct, frozen=True, kw_only=True):
    """Who is called, and how."""

    name: str = ""
    phone: str = ""
    email: str = ""

    @property
    def tel(self) -> str:
        """The address that dials.

        Examples
        --------
        >>> Contact(phone="+1 (555) 010-0134").tel
        'tel:+15550100134'
        """
        return "tel:" + re.sub(r"[^0-9+]", "", self.phone) if self.phone else ""

    def mail(self, subject: str, body: str) -> str:
        """Return the address that opens a letter to them; with nobody named, one to whomever the sender chooses.

        Examples
        --------
        >>> Contact(email="desk@example.com").mail("Washer", "It walks.")
        'mailto:desk@example.com?subject=Washer&body=It%20walks.'
        """
        return f"mailto:{self.email}?subject={quote(subject)}&body={quote(body)}"


def read_contact(path: str) -> Contact:
    """Return the contact of a file.

    Raises
    ------
    InvalidInputError
        If it can't be read, or a line is none of the three.
    """
    try:
        text = Path(path).read_bytes()[:MOST].decode("utf-8")
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or "it is no text"
        mend = "name a file with a line such as phone: +1 555 010 0134"
        raise InvalidInputError(
            [Problem(code="P077", file=path, message=f"the contact can't be read: {why}", mend=mend)]
        ) from None
    found: dict[str, str] = {}
    problems = []
    for n, line in enumerate(text.splitlines(), 1):
        key, _, said = (part.strip() for part in line.partition(":"))
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        wrong = _wrong(key, said)
        if wrong:
            problems.append(
                Problem(
                    code="P078",
                    file=path,
                    line=n,
                    message=wrong[0],
                    expected=wrong[1],
                    nearest=wrong[2],
                    mend="write it so",
                )
            )
        found[key] = printable(said)
    if not problems and not found:
        problems = [
            Problem(code="P078", file=path, message="nobody is named", expected=one_of(KEYS), mend="write one of them")
        ]
    if problems:
        raise InvalidInputError(problems)
    return Contact(**found)


def _wrong(key: str, said: str) -> tuple[str, str, str] | None:
    if key not in KEYS:
        return f"'{printable(key)[:40]}' is nothing that a contact has", one_of(KEYS), nearest(key, KEYS)
    if key == "phone" and not PHONE.fullmatch(said):
        return f"'{printable(said)[:40]}' is no phone number", "phone: +1 555 010 0134", ""
    if key == "email" and not EMAIL.fullmatch(said):
        return f"'{printable(said)[:60]}' is no address for mail", "email: desk@example.com", ""
    if not said or len(said) > 80:
        return f"{key} is empty, or over 80 letters", f"{key}: a few words", ""
    return None
