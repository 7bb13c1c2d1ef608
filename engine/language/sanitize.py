"""What a person typed, made safe to stand in any text: no character that moves, hides or turns what is around it."""

# Joiners that some scripts can't be written without; they hide nothing.
KEPT = ("\u200c", "\u200d")
BLANK = ("\t", "\n", "\r", "\v", "\f", "\x85", "\u2028", "\u2029")
HIDDEN = ("Cc", "Cf", "Cs", "Co", "Cn")


def printable(text: str, most: int = 0) -> str:
    """Return typed text on one line, with every control or invisible character written out as its number.

    Parameters
    ----------
    text : str
    most : int
        Longest that is kept; the rest is counted [characters]. 0 keeps all.

    Examples
    --------
    >>> printable("wet\\nfloor \\x1b[31m")
    'wet floor [U+001B][31m'
    >>> printable("a" * 50, 10)
    'aaaaaaaaaa (and 40 more characters)'
    """
    if most and len(text) > most:
        return f"{printable(text[:most])} (and {len(text) - most} more characters)"
    return " ".join("".join(_shown(c) for c in text).split())


def _shown(c: str) -> str:
    if c in BLANK:
        return " "
    return f"[U+{ord(c):04X}]" if hidden(c) else c


def hidden(c: str) -> bool:
    """Return whether a character moves, hides or turns what is around it, or shows as nothing.

    Examples
    --------
    >>> hidden("\\x1b"), hidden("\\u202e"), hidden("\\u2028"), hidden("\\u200d"), hidden("é")
    (True, True, True, False, False)
    """
    if c.isprintable() or c in KEPT:
        return False
    import unicodedata  # behind the first line of a walk, which is plain

    return c in BLANK or unicodedata.category(c) in HIDDEN


def visible(text: str) -> str:
    """Return a text, its lines and tabs as they are, that can stand on any terminal and any page: the last thing done to it.

    Parameters
    ----------
    text : str
        Of the kb, of a case, of a command line, of a file's name.

    Examples
    --------
    >>> visible("wet\\nfloor \\x1b[31m\\u202e")
    'wet\\nfloor [U+001B][31m[U+202E]'
    """
    if text.isprintable():
        return text
    lines = text.split("\n")
    return "\n".join(line if line.isprintable() else "".join(map(_seen, line)) for line in lines)


def _seen(c: str) -> str:
    return c if c == "\t" else _shown(c)


def escaped(json: str) -> str:
    """Return JSON in which what `visible` would write out is escaped, so that it shows nothing and says the same.

    Examples
    --------
    >>> escaped('{"a": "\\u202e\\U000e0001"}')
    '{"a": "\\\\u202e\\\\udb40\\\\udc01"}'
    """
    lines = json.split("\n")
    return "\n".join(line if line.isprintable() else "".join(map(_code, line)) for line in lines)


def _code(c: str) -> str:
    if c == "\t" or not (hidden(c) or c == "\u200c" or c == "\u200d"):
        return c
    n = ord(c)
    if n < 0x10000:
        return f"\\u{n:04x}"
    return f"\\u{0xD800 + ((n - 0x10000) >> 10):04x}\\u{0xDC00 + ((n - 0x10000) & 0x3FF):04x}"


def typed_line(text: str) -> str:
    """Return typed text without control characters and stray space, at most 2000 letters.

    Examples
    --------
    >>> typed_line("  it\\x1b[2J  hops \\n")
    'it[2J hops'
    """
    kept = "".join(c if c.isprintable() else (" " if c.isspace() else "") for c in text[:20000])
    return " ".join(kept.split())[:2000]
