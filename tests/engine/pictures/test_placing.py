"""Words find a place: never over others, never over the edge, beside ink where there is room."""

from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.pictures.placing import Area, Ground

points = st.tuples(st.floats(0, 300), st.floats(0, 200))


@given(st.lists(st.tuples(points, st.floats(10, 90), st.floats(12, 40), st.sampled_from([None, 0.0, 90.0, 180.0]))))
def test_no_two_meet_and_none_leaves(labels):
    edge = Area(0, 0, 300, 200)
    ground = Ground(edge)
    placed = [ground.place(at, wide, high, side, True) for at, wide, high, side in labels[:8]]
    areas = [p[0] for p in placed if p]
    assert all(a.inside(edge) for a in areas)
    assert not any(a.meets(b) for n, a in enumerate(areas) for b in areas[n + 1 :])


def test_ink_is_kept_free():
    ground = Ground(Area(0, 0, 300, 200))
    for x in range(150, 300):
        for y in range(200):
            ground.stain(x, y)
    area, _ = ground.place((150, 100), 80, 16, 0.0, True)
    assert area.right <= 152
