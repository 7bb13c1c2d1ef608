"""One table of the bench, and how it is written down."""

from collections.abc import Iterable
from typing import Any

import msgspec


class Table(msgspec.Struct, frozen=True, kw_only=True):
    """What one part of the bench measured.

    Parameters
    ----------
    title : str
    columns : list of str
    rows : list of list of str
        Cells as they are printed.
    notes : list of str
        Aims met and missed, said plainly with the figure, and what was left out.
    data : dict
        The numbers behind the cells, for `--json`.
    """

    title: str
    columns: list[str]
    rows: list[list[str]]
    notes: list[str] = msgspec.field(default_factory=list)
    data: dict[str, Any] = msgspec.field(default_factory=dict)


def markdown(table: Table) -> str:
    """Return a table as Markdown.

    Examples
    --------
    >>> print(markdown(Table(title="Right", columns=["against", "largest difference"], rows=[["fractions", "1e-15"]])))
    ### Right
    <BLANKLINE>
    | against | largest difference |
    |---|---|
    | fractions | 1e-15 |
    """
    lines = [f"### {table.title}", "", _row(table.columns), "|" + "---|" * len(table.columns), *map(_row, table.rows)]
    if table.notes:
        lines += ["", *(f"- {note}" for note in table.notes)]
    return "\n".join(lines)


def _row(cells: Iterable[str]) -> str:
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"
