"""Laying out lines at one width, with or without colour."""

from ...engine.language.sanitize import visible

COLOURS = {
    "DANGER": "1;97;41",
    "WARNING": "1;30;43",
    "CAUTION": "1;33",
    "NOTICE": "1;34",
    "strong": "1",
    "dim": "2",
}
NARROW = 60  # columns; below this a label stands at the head of its own text, not in a column
MARGIN = 3  # columns before a label
COLUMN = 12  # column at which labelled text starts


class Layout:
    """Lays out lines at one width, with or without colour.

    Parameters
    ----------
    width : int
        Columns; no line is longer.
    colour : bool
        Whether styles are painted; the words alone carry the meaning.
    height : int
        Rows of the screen, the prompt's row among them; a card is cut to fit.
    """

    def __init__(self, width: int = 80, colour: bool = False, height: int = 24) -> None:
        self.width = width
        self.colour = colour
        self.height = height

    @property
    def narrow(self) -> bool:
        """Whether there is no room for a column of labels."""
        return self.width < NARROW

    def paint(self, text: str, style: str) -> str:
        """Return text in a style.

        Examples
        --------
        >>> Layout(80).paint("stop", "DANGER")
        'stop'
        """
        return f"\x1b[{COLOURS[style]}m{visible(text)}\x1b[0m" if self.colour and style and text else text

    def wrap(self, text: str, indent: int = 0, first: str = "") -> list[str]:
        """Return text wrapped to the width, `first` standing in the indent of its first line.

        Examples
        --------
        >>> Layout(20).wrap("a loose fit, no tape", 4, " 1")
        [' 1  a loose fit, no', '    tape']
        """
        text = visible(text)
        indent = max(min(indent, self.width // 3), len(first) + 1 if first else 0)
        lines = _folded(text, self.width - indent) or [""]
        return [(first.ljust(indent) + lines[0]).rstrip(), *(" " * indent + line for line in lines[1:])]

    def labelled(self, label: str, text: str, style: str = "", tight: bool = False) -> list[str]:
        """Return 'label    text' with the text under itself; narrow or tight: 'label: text', hanging.

        Examples
        --------
        >>> Layout(80).labelled("tool", "a level")
        ['   tool     a level']
        >>> Layout(40).labelled("tool", "a level")
        ['tool: a level']
        """
        import textwrap

        text = visible(text)
        if self.narrow or tight or len(label) > COLUMN - MARGIN - 1:
            head = f"{label}: " if label else "  "
            lines = textwrap.wrap(text, self.width, initial_indent=head, subsequent_indent="  ") or [head.rstrip()]
            return [self.paint(label, style) + lines[0][len(label) :], *lines[1:]]
        lines = self.wrap(text, COLUMN, " " * MARGIN + label.ljust(COLUMN - MARGIN - 1))
        head = lines[0][MARGIN + len(label) :]
        return [" " * MARGIN + self.paint(label, style) + head, *lines[1:]]


def _folded(text: str, width: int) -> list[str]:
    """Return what `textwrap.wrap` does, which is imported only for a text that does not fit on its line."""
    if text.isprintable() and len(text) <= width:
        return [text.rstrip()]
    import textwrap

    return textwrap.wrap(text, width)
