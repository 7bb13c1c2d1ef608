"""Pictures measured: each scene in each state and mark has its words apart and inside, and is the same each time."""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import pairwise

import pytest

from dryfloor.engine.pictures.letters import SIZE, width
from dryfloor.engine.pictures.picture import WIDE, laid_out
from dryfloor.engine.pictures.scenes.catalog import SCENES
from dryfloor.engine.pictures.scenes.drawing import Figure
from tests.support.ink import words_on

INCH = 25.4
SVG = "{http://www.w3.org/2000/svg}"
LEAST = 12.0  # px of letters at 320 px, of which a phone's margins leave 288 [px]


def picture(*scene, **kinds):
    return laid_out(*scene, **kinds).svg


def sound(made):
    """Hold one picture to what every picture keeps: no words over words, on a line or a wall, or outside; letters large enough."""
    texts = made.texts
    for n, (said, area) in enumerate(texts):
        assert area.left >= 0, said
        assert area.right <= WIDE, said
        assert area.top >= made.top - 1, said
        assert area.bottom <= made.bottom + 1, said
        for other, beside in texts[n + 1 :]:
            assert not area.meets(beside, -1.0), (said, other)
    assert 0 < made.bottom - made.top < 400
    assert words_on(made.svg, width) == []
    assert SIZE * 288 / WIDE >= LEAST


@pytest.mark.parametrize("name", sorted(SCENES))
def test_each_state_and_mark_keeps_its_words_apart_and_inside(name):
    scene = SCENES[name]
    for state in scene.states:
        sound(laid_out(name, state=state))
    for mark in scene.marks:
        sound(laid_out(name, [mark], figures={mark: Figure(limit="at least 39 in")}))


@pytest.mark.slow
def test_any_two_states_side_by_side_keep_their_words_apart_and_inside():
    for name, scene in SCENES.items():
        states = list(scene.states)
        for a, b in pairwise(states):
            sound(laid_out(name, right=a, wrong=b))


@pytest.mark.parametrize("inches", [20, 31, 45, 95, 119])
def test_a_pipe_of_any_plausible_height_is_drawn_to_scale(inches):
    limit = Figure(
        "39 to 96 in", 39 * INCH, 96 * INCH, inches * INCH, f"{inches} in", "at least 39 in", "at most 96 in"
    )
    made = laid_out("standpipe", ["height"], figures={"height": limit})
    sound(made)
    assert f"{inches} in" in [t for t, _ in made.texts]
    # The arrow against the cabinet beside it, 36 in high without its feet: both are in the drawing.
    upright = re.findall(r'class="pa" d="M([\d.]+) ([\d.]+)L\1 ([\d.]+)"/><path class="pa pf"', made.svg)
    arrow = max(upright, key=lambda a: float(a[0]))
    box = [list(map(float, re.findall(r"-?[\d.]+", d))) for d in re.findall(r'class="pp" d="([^"]+)"', made.svg)]
    cabinet = next(b for b in box if len(b) == 8)
    drawn = abs(float(arrow[2]) - float(arrow[1])) / abs(cabinet[5] - cabinet[1])
    assert drawn == pytest.approx(inches * INCH / (914 - 30), rel=0.03)


# Scene, state, mark, and readings that are drawn to scale, that are drawn larger, that can't be [mm].
READINGS = [
    ("standpipe", "", "height", (400, 700, 1100, 3000), (), (0, 180, 9000)),
    ("standpipe", "", "above-weir", (100, 700, 2000), (), (3, 9000)),
    ("standpipe", "pedestal", "above-floor", (500, 1000), (), (60, 9000)),
    ("standpipe", "", "trap-height", (100, 400), (), (2, 3000)),
    ("hose-in-pipe", "", "depth", (20, 130, 700), (), (0, 3000)),
    ("hose-in-pipe", "empty", "bore", (30, 52, 100), (), (0, 900)),
    ("under-pipe", "", "seal", (20, 76, 150), (), (0, 900)),
    ("tub", "", "rim", (400, 860, 1900), (), (0, 9000)),
    ("foot", "", "gap", (), (0.4, 1, 4), (90,)),
    ("around", "", "behind", (200, 400), (5, 60), (3000,)),
    ("around", "", "beside", (200, 400), (5, 25), (3000,)),
    ("above", "", "above", (100, 500, 1700), (), (0, 9000)),
    ("moved", "", "moved", (300, 900, 2300), (), (0, 90000)),
    ("outlet-place", "distance", "distance", (), (), (0, 600, 9000)),
]


@pytest.mark.parametrize(("scene", "state", "mark", "exact", "larger", "neither"), READINGS)
def test_any_reading_is_drawn_to_scale_or_said_not_to_be(scene, state, mark, exact, larger, neither):
    for limit in (Figure("at least 39 in", 990.0, None, low_said="at least 39 in"), Figure("at most 1 mm", None, 1.0)):
        for values, note in ((exact, None), (larger, "than it is"), (neither, "not drawn to scale")):
            for value in values:
                figure = replace(limit, reading=float(value), read=f"{value} mm")
                made = laid_out(scene, [mark], state=state, figures={mark: figure})
                sound(made)
                words = " ".join(t for t, _ in made.texts)
                assert f"{value} mm" in words
                assert (note or "") in words
                assert note or "scale" not in words, words
                assert (note or "") in made.told.casefold()


def test_a_reading_of_nothing_says_that_nothing_lies_between():
    for scene, mark in (("foot", "gap"), ("around", "behind"), ("around", "beside")):
        made = laid_out(scene, [mark], figures={mark: Figure("at most 1 mm", None, 1.0, 0.0, "0 mm")})
        sound(made)
        assert "0 mm: no gap" in " ".join(t for t, _ in made.texts)


def test_a_limit_that_is_not_to_scale_is_not_drawn_at_a_place():
    """The limit stands with the reading, and no line leads from it to a point of the arrow."""
    for value, beside in ((790.0, True), (9000.0, False)):
        figure = Figure("at least 39 in", 990.0, None, value, "so high", "at least 39 in")
        words = " ".join(t for t, _ in laid_out("tub", ["rim"], figures={"rim": figure}).texts)
        assert ("so high, limit: at least 39 in" not in words) == beside
        assert "limit: at least 39 in" in words


def test_a_low_pipe_is_seen_to_run_off_and_a_high_one_is_not():
    def told(inches, line=29 * INCH):
        figures = {"height": Figure("39 to 96 in", 39 * INCH, 96 * INCH, inches * INCH, f"{inches} in")}
        figures |= {"depth": Figure(reading=6 * INCH)}
        figures |= {"water-line": Figure(low=line, high=line)} if line else {}
        return " ".join(t for t, _ in laid_out("standpipe", ["height"], figures=figures).texts)

    assert "runs off by itself" in told(31)
    assert "runs off by itself" not in told(42)
    assert "may hang below" in told(31, None)  # how high the machine fills is not known: then it is no more than that
    assert "runs off" not in told(31, 15 * INCH)


@pytest.mark.parametrize(("gap", "cards"), [(0.8, 1), (1.0, 1), (1.7, 2), (4.0, 5)])
def test_as_many_cards_lie_under_a_foot_as_fill_its_gap(gap, cards):
    """A card is 0.8 mm thick: one for a gap of 1 mm, not four."""
    svg = laid_out("foot", ["gap"], figures={"gap": Figure("at most 1 mm", None, 1.0, gap, f"{gap} mm")}).svg
    level = re.findall(r'class="pa" d="M([\d.]+) ([\d.]+)L([\d.]+) \2"', svg)
    widest = max(float(b) - float(a) for a, _, b in level)
    assert sum(float(b) - float(a) > 0.95 * widest for a, _, b in level) == cards


def test_it_is_the_same_each_time_rounded_and_well_formed():
    once = picture("tub", ["rim"], title="A & B", figures={"rim": Figure(limit="at least 39 in")})
    assert once == picture("tub", ["rim"], title="A & B", figures={"rim": Figure(limit="at least 39 in")})
    root = ET.fromstring(once)
    assert root.find(f"{SVG}title").text == "A & B"
    assert "at least 39 in" in root.find(f"{SVG}desc").text
    assert not re.search(r"\d\.\d\d", re.sub(r"<style>.*?</style>", "", once))


def test_what_is_said_says_what_is_seen():
    told = laid_out("hose-in-pipe", right="good", wrong="taped").told
    assert "Right: the hose hangs loose" in told
    assert "Wrong: the gap round the hose is taped shut" in told
    words = [t for t, _ in laid_out("hose-in-pipe", right="good", wrong="taped").texts]
    assert {"right", "wrong"} <= {*words}


def test_one_weight_one_accent_and_no_color_of_its_own_on_a_page():
    made = picture("standpipe", ["height"], alone=False)
    assert "<style" not in made
    assert not re.search(r"#[0-9a-f]{3}", made)
    assert len(re.findall(r'stroke-width="1.6"', made)) == 1


def test_a_mark_or_a_state_that_is_not_there_is_refused():
    with pytest.raises(KeyError, match="heigth"):
        picture("standpipe", ["heigth"])
    with pytest.raises(KeyError, match="lo"):
        picture("standpipe", state="lo")
    with pytest.raises(KeyError):
        picture("stand-pipe")
