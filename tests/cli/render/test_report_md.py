"""The report as Markdown: all of it, and nothing a person typed turns into markup."""

import re

from hypothesis import given
from hypothesis import strategies as st

from dryfloor.cli.render.report_md import escaped, markdown
from dryfloor.engine.reports.report import READERS, report
from tests.support.telling import HANDED_OVER, NASTY


def test_marks_are_escaped_and_read_back():
    assert escaped("- a *b* [c](d) <e> | `f` # g") == r"\- a \*b\* \[c\](d) \<e\> \| \`f\` \# g"
    assert escaped("1. first") == r"1\. first"
    assert escaped("in 1. place") == "in 1. place"


@given(st.text(alphabet=st.characters(categories=["L", "N", "P", "S", "Zs"]), max_size=80))
def test_no_mark_is_left_bare(text):
    said = escaped(text)
    assert re.sub(r"\\(.)", r"\1", said) == text
    assert not re.search(r"(?<!\\)(?:\\\\)*[`*_\[\]<>|]", re.sub(r"\\.", "", said))


def test_it_has_all_of_the_report(kb):
    for reader in READERS:
        made = report(kb, HANDED_OVER, reader)
        text = markdown(made)
        for told in (
            made.summary,
            made.rule_text,
            made.done,
            made.next,
            made.others,
            made.closing,
            [t.what for t in made.trail],
            made.notes,
        ):
            assert [t for t in told if escaped(t) not in text] == []
        assert text.endswith("\n")


def test_a_nasty_note_breaks_neither_list_nor_table(kb):
    text = markdown(report(kb, NASTY))
    rows = [line for line in text.splitlines() if line.startswith("|")]
    assert {len(re.findall(r"(?<!\\)\|", line)) for line in rows} == {5}
    assert [line for line in text.splitlines() if line.startswith("# ")] == [text.splitlines()[0]]
