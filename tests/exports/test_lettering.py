"""Notes find places: clear of each other and of lines, leaders without crossings."""

from itertools import combinations

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from bodycad.exports.lettering import HEIGHT, Note, letter, width
from bodycad.geometry.plane.build import circle, rectangle

FRAME = (-200.0, -150.0, 200.0, 150.0)
POINTS = st.lists(
    st.tuples(st.integers(-199, 199), st.integers(-149, 149)), min_size=1, max_size=60, unique=True
)


@settings(max_examples=40, deadline=None)
@given(POINTS)
def test_leaders_do_not_cross_and_texts_keep_apart(points):
    spots = letter(
        [Note((f"hole {k}", "depth 1.00"), p) for k, p in enumerate(points)], [], [], FRAME
    )
    assert [s.note.anchor for s in spots] == points
    for one, two in combinations(spots, 2):
        assert not shapely.box(*one.box).intersects(shapely.box(*two.box))
        assert not shapely.LineString(one.leader).crosses(shapely.LineString(two.leader))
    for spot in spots:
        assert not shapely.box(*FRAME).intersects(shapely.box(*spot.box))
        assert not any(
            shapely.LineString(spot.leader).intersects(shapely.box(*other.box)) for other in spots
        )


def test_a_note_stands_inside_its_shape_where_it_fits():
    shape = rectangle(80.0, 40.0)
    (spot,) = letter([Note(("route", "depth 19.00"), (0.0, 0.0), shape)], [shape], [], FRAME)
    assert spot.leader is None
    assert shapely.box(*spot.box).within(shapely.box(*shape.box))


@pytest.mark.parametrize(
    "shape, lines",
    [
        (rectangle(10.0, 40.0), []),
        (rectangle(80.0, 12.0), [((-60.0, 0.0), (60.0, 0.0))]),
    ],
    ids=["too narrow", "crossed by a line"],
)
def test_a_note_that_does_not_fit_goes_beside_the_drawing(shape, lines):
    (spot,) = letter([Note(("route", "depth 19.00"), (0.0, 0.0), shape)], [shape], lines, FRAME)
    assert spot.leader[0] == (0.0, 0.0)
    assert not shapely.box(*FRAME).intersects(shapely.box(*spot.box))


def test_a_note_is_not_set_in_a_smaller_shape_within_its_own():
    """A recess round a cavity: the text of the recess must not stand in the cavity."""
    recess, cavity = rectangle(100.0, 60.0), rectangle(90.0, 50.0)
    spots = letter(
        [Note(("recess",), (-50.0, 0.0), recess), Note(("cavity",), (-45.0, 0.0), cavity)],
        [recess, cavity],
        [],
        FRAME,
    )
    leaders = {spot.note.lines: spot.leader for spot in spots}
    assert leaders[("cavity",)] is None and leaders[("recess",)] is not None


def test_a_leader_ends_at_the_rim_of_a_hole():
    (spot,) = letter([Note(("hole",), (0.0, 0.0), circle(8.0), 4.0)], [circle(8.0)], [], FRAME)
    assert shapely.Point(0.0, 0.0).distance(shapely.LineString(spot.leader)) == pytest.approx(4.0)


def test_a_text_takes_at_least_the_room_that_a_font_gives_it():
    """Against ezdxf's measuring of its fallback font."""
    from ezdxf.fonts import fonts

    for text in ("bridge.ferrule.1", "dia 3.20, depth 44.00 through", "FRONT_POCKET_D1900"):
        assert fonts.make_font("txt", HEIGHT).text_width(text) <= width(text)
