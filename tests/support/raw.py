"""Characters that a terminal or a browser would obey, put into every text of a kb, and found again in what was written."""

import re
import unicodedata

import msgspec

# escape and its sequences, bell, backspace, delete, C1 (CSI, OSC, NEL), direction marks, invisible ones, line ends, private use
NASTY = "\x1b[31m\x1b]0;x\x07\x08\x7f\x9b2J\x85\u202e\u2066\u200b\ufeff\u2028\ue000\U000e0041"
OWN = re.compile(r"\x1b\[(?:0|1|2|1;33|1;34|1;30;43|1;97;41)m")  # what the program paints its own words with
PROSE = re.compile(
    r"[A-Za-z' ,.;:?!-]*[a-z]{3,} [a-z]{2,}[A-Za-z' ,.;:?!-]*"
)  # a sentence; not an id, a reading, a limit


def raw(text, painted=False):
    """Return the characters of a text that stand in it raw, by Unicode's own categories."""
    if painted:
        text = OWN.sub("", text)
    bad = {c for c in text if unicodedata.category(c) in ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")}
    return sorted(f"U+{ord(c):04X}" for c in bad - set("\n\t\u200c\u200d"))


def tainted(value, skip=("hear", "strength", "cures", "word", "of")):
    """Return a record, or all of a kb, with the characters in the midst of every sentence in it."""
    if isinstance(value, msgspec.Struct):
        fields = {n: tainted(getattr(value, n)) for n in value.__struct_fields__ if n not in skip}
        return msgspec.structs.replace(value, **fields)
    if isinstance(value, dict):
        return {k: tainted(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return type(value)(tainted(v) for v in value)
    if isinstance(value, str) and PROSE.fullmatch(value):
        half = value.index(" ")
        return f"{value[:half]} {NASTY}{value[half:]}"
    return value
