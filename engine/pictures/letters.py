"""How much room a text takes, and where it is broken into lines.

The widths are those of a wide common face, rounded up: whatever face a reader has, the text fits the box that was kept for it.
"""

SIZE = 14.0  # of letters, in a drawing 320 wide: 12.6 px where a phone of 320 px leaves it 288 [px]
BOLD = 1.12  # so much wider are bold letters [-]
LEADING = 16.0  # from base line to base line [px]
# Width of letters by their size; what is not listed is as wide as an M [-].
WIDTHS = {
    "ijl' ,.IJ/:;|-f": 0.37,
    "()[]!tr": 0.42,
    "*_?szcLFk": 0.58,
    "vxyPTYaeo": 0.62,
    "0123456789ESbdghnpqu$": 0.64,
    "KABVXZCR": 0.70,
    "UNHD&GOQ": 0.79,
    "w+<=>M": 0.87,
    "mW%@": 1.0,
}
_WIDE = {letter: wide for letters, wide in WIDTHS.items() for letter in letters}


def width(text: str, size: float = SIZE) -> float:
    """Return how wide a line of text is at most [px].

    Examples
    --------
    >>> 100 < width("39 to 96 in, open") < 160
    True
    """
    return size * sum(_WIDE.get(letter, 1.0) for letter in text)


def lines(text: str, room: float, size: float = SIZE) -> list[str]:
    """Return a text in lines that fit a width, as even as they can be; a word that is longer stands alone.

    Parameters
    ----------
    text : str
    room : float
        Width that there is [px].
    size : float
        Of letters [px].

    Examples
    --------
    >>> lines("open top of the drain pipe", 130)
    ['open top of', 'the drain pipe']
    """
    filled = _filled(text, room, size)
    if len(filled) > 1:  # the same number of lines, narrower: no word is left alone on the last
        step = room
        while step > 40 and len(_filled(text, step - 6, size)) == len(filled):
            step -= 6
        filled = _filled(text, step, size)
    return filled


def _filled(text: str, room: float, size: float) -> list[str]:
    out: list[str] = []
    for word in text.split():
        if out and width(f"{out[-1]} {word}", size) <= room:
            out[-1] += f" {word}"
        else:
            out.append(word)
    return out
