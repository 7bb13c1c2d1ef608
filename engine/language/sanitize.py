"""What a person typed, made safe to stand in any text: no character that moves, hides or turns what is around it."""

import unicodedata

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
    hidden = unicodedata.category(c) in HIDDEN and c not in KEPT
    return f"[U+{ord(c):04X}]" if hidden else c


def typed_line(text: str) -> str:
    """Return typed text without control characters and stray space, at most 2000 letters.

    Examples
    --------
    >>> typed_line("  it\\x1b[2J  hops \\n")
    'it[2J hops'
    """
    kept = "".join(c if c.isprintable() else (" " if c.isspace() else "") for c in text[:20000])
    return " ".join(kept.split())[:2000]
