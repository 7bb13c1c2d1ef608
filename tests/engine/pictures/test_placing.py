"""Words find a place: never over others, never over the edge, beside ink where there is room."""

from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.pictures.placing import Area, Ground

points = st.tuples(st.floats(0, 300), st.floats(0, 200))


@given(st.lists(st.tuples(points, st.floats(10, 90), st.floats(12, 40), st.sampled_from([None, 0.0, 90.0, 180.0]))))
def test_no_two_meet_and_none_leaves(labels):
    edge = Area(0, 0, 300, 200)
    ground = Ground(edge)
    placed = [ground.place(at, [(wide, high)], side, True) for at, wide, high, side in labels[:8]]
    areas = [p.area for p in placed if p]
    assert all(a.inside(edge) for a in areas)
    assert not any(a.meets(b) for n, a in enumerate(areas) for b in areas[n + 1 :])


def test_ink_is_kept_free():
    ground = Ground(Area(0, 0, 300, 200))
    for x in range(150, 300):
        for y in range(200):
            ground.stain(x, y)
    assert ground.place((150, 100), [(80, 16)], 0.0, True).area.right <= 152
    assert ground.covered == 0


def test_words_go_on_a_thing_that_hides_what_lies_below_it():
    ground = Ground(Area(0, 0, 300, 200))
    for x in range(300):
        ground.stain(x, 100)
    assert ground.pin((150, 100), 60, 16) is None
    ground.cover([(100, 60), (200, 60), (200, 140), (100, 140)])
    assert ground.pin((150, 100), 60, 16).area == Area(119, 91, 181, 109)
    assert ground.pin((150, 100), 60, 16) is None  # other words stand there


def test_a_text_is_broken_narrower_where_only_that_fits():
    ground = Ground(Area(0, 0, 60, 200))
    assert ground.place((30, 60), [(120, 16), (50, 48)], -90.0, True).shape == 1
    ground = Ground(Area(0, 0, 300, 200))
    assert ground.place((150, 60), [(120, 16), (50, 48)], -90.0, True).shape == 0


def test_no_line_to_words_lies_along_the_arrow_whose_end_they_name():
    ground = Ground(Area(0, 0, 300, 300))
    for y in range(100, 200):
        ground.stain(150, y)
    for x in range(100, 200):  # a floor, so that the words stand away from their point
        for y in range(180, 230):
            ground.stain(x, y)
    placed = ground.place((150, 200), [(60, 32)], -90.0, True, True, -90.0)
    x, y = placed.begin
    assert abs(x - 150) > 0.4 * abs(y - 200)


def test_where_nothing_is_free_as_little_as_can_be_is_covered():
    ground = Ground(Area(0, 0, 100, 60))
    for x in range(0, 100, 2):
        for y in range(0, 60, 2 if x < 50 else 20):
            ground.stain(x, y)
    placed = ground.place((50, 30), [(30, 16)], 180.0, True)
    assert placed.area.left > 45
    assert ground.covered == placed.covers > 0
