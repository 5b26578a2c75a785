"""What lies on what, which outlines make one sign, and how its parts are numbered."""

import random
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Point, Polygon, affinity, box, unary_union
from shop_for_tests import grows_at_most

from shopfloor.domain.drawing.drawing import DrawnOutline
from shopfloor.domain.drawing.reading_order import reading_lines
from shopfloor.domain.drawing.stacking import propose
from shopfloor.domain.drawing.support import rests
from shopfloor.domain.errors import Refused
from shopfloor.domain.many_outlines import polygons
from shopfloor.domain.outlines import Outline


def drawing(*shapes):
    """Drawn in the order given. A shape is (name, polygon), or (name, polygon, group)."""
    return [
        DrawnOutline(
            Outline.of_polygon(polygon), "#aa0000", name, group[0] if group else None, order
        )
        for order, (name, polygon, *group) in enumerate(shapes)
    ]


# Letters as boxes, in shares of the size of type: those that descend, those that rise, and the small marks.
DESCENDING, RISING = "gpqy", "bdfhklt"
SMALL = {  # width, bottom, top
    ",": (0.1, -0.15, 0.1),
    ".": (0.1, 0, 0.12),
    "-": (0.3, 0.2, 0.3),
    "’": (0.1, 0.5, 0.75),
    "·": (0.1, 0.3, 0.4),
}
ROUND = "oceasCOGQS"
DIP = 0.012  # of the size: round letters go this far below the baseline


def letter(character, size):
    """The areas of one letter standing on y = 0 at x = 0, and how wide it is."""
    if character in SMALL:
        width, bottom, top = SMALL[character]
        return [box(0, bottom * size, width * size, top * size)], width * size
    width = (0.1 if character in "ilj" else 0.5) * size
    top = 0.5 if character.islower() and character not in RISING else 0.72
    bottom = -0.2 if character in DESCENDING + "j" else -DIP if character in ROUND else 0
    areas = [box(0, bottom * size, width, top * size)]
    if character in "ij":
        areas.append(box(0, 0.6 * size, width, 0.72 * size))
    return areas, width


def text(words, x, y, size):
    """(name, polygon) of each area of the words; an i has two."""
    shapes = []
    for character in words:
        if character != " ":
            areas, width = letter(character, size)
            shapes += [(character, affinity.translate(area, x, y)) for area in areas]
            x += width + 0.1 * size
        else:
            x += 0.3 * size
    return shapes


def lines_of(sign, level):
    """The names of the parts of each line of a level, in the order of their numbers."""
    lines = {}
    for part in sign.parts:
        if part.level == level:
            lines[part.line] = lines.get(part.line, "") + part.name
    return [lines[line] for line in sorted(lines)]


def once(words):
    """The words without spaces, with each i and j twice: the stem and its dot."""
    return "".join(
        character * (2 if character in "ij" else 1) for character in words if character != " "
    )


def test_letters_on_a_panel_on_a_board_are_three_levels():
    signs = propose(
        drawing(
            ("board", box(10, 20, 610, 320)),
            ("panel", box(60, 70, 560, 270)),
            *text("HALE", 100, 120, 100),
        )
    )
    (sign,) = signs
    assert (sign.name, sign.width_mm, sign.height_mm, sign.levels) == ("board", 600, 300, 3)
    assert [(part.number, part.name, part.level, part.on) for part in sign.parts] == [
        (1, "board", 0, None),
        (2, "panel", 1, 1),
        (3, "H", 2, 2),
        (4, "A", 2, 2),
        (5, "L", 2, 2),
        (6, "E", 2, 2),
    ]
    assert sign.parts[0].outline.bounds == (0, 0, 600, 300)
    assert sign.parts[1].outline.bounds == (50, 50, 550, 250)
    assert {part.baseline_mm for part in sign.parts[2:]} == {100}


def test_what_sits_in_a_hole_lies_on_what_shows_through_it():
    ring = Point(100, 100).buffer(80).difference(Point(100, 100).buffer(50))
    signs = propose(
        drawing(("board", box(0, 0, 200, 200)), ("ring", ring), ("dot", Point(100, 100).buffer(20)))
    )
    found = [(part.name, part.level, part.on) for part in signs[0].parts]
    assert found == [("board", 0, None), ("ring", 1, 1), ("dot", 1, 1)]


def test_what_sits_in_a_hole_with_nothing_under_it_is_a_sign_of_its_own():
    ring = Point(100, 100).buffer(80).difference(Point(100, 100).buffer(50))
    assert len(propose(drawing(("ring", ring), ("dot", Point(100, 100).buffer(20))))) == 2


def test_a_counter_is_a_hole_and_no_part():
    letter_o = Point(100, 50).buffer(40).difference(Point(100, 50).buffer(25))
    (sign,) = propose(drawing(("board", box(0, 0, 200, 100)), ("O", letter_o)))
    assert [part.name for part in sign.parts] == ["board", "O"]
    assert len(sign.parts[1].outline.rings) == 2


def test_a_part_lies_on_what_it_overlaps_most_of_what_shows():
    board, panel = box(0, 0, 400, 200), box(0, 0, 200, 200)
    mostly_on_panel, mostly_on_board = box(140, 50, 240, 100), box(180, 120, 280, 150)
    below = rests(
        polygons(
            [Outline.of_polygon(one) for one in (board, panel, mostly_on_panel, mostly_on_board)]
        )
    )
    assert [rest.on for rest in below] == [None, 0, 1, 0]


@pytest.mark.parametrize(("overlap", "signs"), [(0, 2), (5, 2), (9, 2), (11, 1), (60, 1)])
def test_neighbours_that_touch_or_overlap_a_little_do_not_stack(overlap, signs):
    shapes = drawing(
        ("big", box(0, 0, 100, 110)), ("small", box(100 - overlap, 0, 200 - overlap, 100))
    )
    assert len(propose(shapes)) == signs


def test_what_is_drawn_first_or_is_smaller_does_not_carry():
    assert len(propose(drawing(("small", box(10, 10, 20, 20)), ("big", box(0, 0, 100, 100))))) == 2
    assert len(propose(drawing(("low", box(0, 0, 50, 50)), ("big", box(0, 0, 100, 100))))) == 2


def test_a_face_cut_to_the_size_of_its_backing_lies_on_it():
    (sign,) = propose(drawing(("backing", box(0, 0, 300, 100)), ("face", box(0, 0, 300, 100))))
    assert [(part.name, part.level) for part in sign.parts] == [("backing", 0), ("face", 1)]


def test_equal_letters_that_overlap_do_not_stack():
    assert len(propose(drawing(("o", box(0, 0, 50, 50)), ("o", box(40, 0, 90, 50))))) == 2


def test_the_order_of_drawing_counts_and_not_the_order_in_the_list():
    shapes = drawing(("board", box(0, 0, 100, 100)), ("letter", box(10, 10, 50, 50)))
    assert propose(shapes[::-1]) == propose(shapes)


def berth_plates():
    shapes = []
    for row in range(2):
        for column in range(3):
            x, y, number = column * 150, 200 - row * 150, 11 + row * 3 + column
            shapes.append((f"berth {number}", box(x, y, x + 120, y + 100)))
            shapes += [(digit, part) for digit, part in text(str(number), x + 20, y + 20, 60)]
    random.Random(3).shuffle(groups := [shapes[i : i + 3] for i in range(0, len(shapes), 3)])
    return drawing(*[shape for group in groups for shape in group])


def test_signs_come_in_reading_order_with_their_own_parts():
    signs = propose(berth_plates())
    assert [sign.name for sign in signs] == [f"berth {number}" for number in range(11, 17)]
    assert ["".join(part.name for part in sign.parts[1:]) for sign in signs] == [
        "11",
        "12",
        "13",
        "14",
        "15",
        "16",
    ]
    assert all(
        part.number == place for sign in signs for place, part in enumerate(sign.parts, start=1)
    )
    assert all((sign.width_mm, sign.height_mm) == (120, 100) for sign in signs)


def test_loose_letters_in_a_group_are_one_sign_named_by_it():
    letters = [(name, polygon, "wall") for name, polygon in text("Quay", 500, 0, 200)]
    signs = propose(drawing(("plate", box(0, 0, 300, 150)), *letters))
    assert [(sign.name, sign.levels, len(sign.parts)) for sign in signs] == [
        ("plate", 1, 1),
        ("wall", 1, 4),
    ]
    assert "".join(part.name for part in signs[1].parts) == "Quay"


def test_what_lies_on_a_grouped_board_goes_with_it():
    halves = [("left", box(0, 0, 100, 100), "gate"), ("right", box(110, 0, 210, 100), "gate")]
    (sign,) = propose(drawing(*halves, ("A", box(120, 10, 150, 50))))
    found = [(part.name, part.level, part.on) for part in sign.parts]
    assert found == [("left", 0, None), ("right", 0, None), ("A", 1, 2)]


def test_a_person_joins_signs_into_one():
    plates = berth_plates()
    signs = propose(plates, joins=[{0, 1}, {1, 2}])
    assert [len(sign.parts) for sign in signs] == [9, 3, 3, 3]
    assert signs[0].width_mm == 420
    assert lines_of(signs[0], 1) == ["111213"]
    assert [part.on for part in signs[0].parts] == [None, None, None, 1, 1, 2, 2, 3, 3]


@pytest.mark.parametrize("place", [-1, 6, 100])
def test_joining_a_sign_that_is_not_there_is_refused(place):
    with pytest.raises(Refused, match="The drawing has 6 signs"):
        propose(berth_plates(), joins=[{0, place}])


@pytest.mark.parametrize("pitch", [0.95, 1.2, 1.6])
@pytest.mark.parametrize(
    "words",
    [
        ("Harbour Office", "jetty, quay - pilot’s gig"),
        ("gypsy jug,", "Egypt · Ebb-hill."),
        ("uni in um", "A-12"),
    ],
)
def test_lines_of_text_stay_apart_with_their_commas_dots_and_hyphens(words, pitch):
    upper, lower = words
    shapes = text(upper, 50, 300, 100) + text(lower, 50, 300 - pitch * 100, 100)
    random.Random(1).shuffle(shapes)
    (sign,) = propose(drawing(("board", box(0, 0, 1800, 600)), *shapes))
    assert lines_of(sign, 1) == [once(upper), once(lower)]
    baselines = [
        round(one, 3) for one in dict.fromkeys(part.baseline_mm for part in sign.parts[1:])
    ]
    assert baselines == [300, round(300 - pitch * 100, 3)]


def test_a_line_in_small_type_under_a_large_one_is_a_line_of_its_own():
    shapes = text("HARBOUR", 50, 200, 150) + text("ship chandlery since 1907", 60, 150, 45)
    (sign,) = propose(drawing(("board", box(0, 0, 1200, 400)), *shapes))
    assert lines_of(sign, 1) == ["HARBOUR", once("ship chandlery since 1907")]


def test_a_badge_beside_two_lines_is_read_by_itself():
    shapes = [
        *text("Tide", 300, 200, 80),
        ("*", Point(170, 200).buffer(90)),
        *text("Mill", 300, 120, 80),
    ]
    (sign,) = propose(drawing(("board", box(0, 0, 900, 400)), *shapes))
    assert lines_of(sign, 1) == ["*", once("Tide"), once("Mill")]


def test_the_baseline_is_that_of_the_flat_letters():
    # three round letters dip below it, two descend: neither may move it
    (sign,) = propose(drawing(("board", box(0, 0, 900, 300)), *text("coo gp hi", 50, 120, 100)))
    assert {part.baseline_mm for part in sign.parts[1:]} == {120}


def test_letters_in_an_arch_are_read_from_left_to_right():
    arch = [
        ("ABCDEFG"[n], affinity.translate(box(0, 0, 40, 60), 60 * n, 25 * (3 - abs(n - 3))))
        for n in range(7)
    ]
    (line,) = reading_lines([polygon.bounds for _, polygon in arch])
    assert line.members == (0, 1, 2, 3, 4, 5, 6)


def test_a_drawing_without_outlines_has_no_signs():
    assert propose([]) == ()


@st.composite
def drawings(draw):
    count = draw(st.integers(1, 12))
    corners = st.integers(0, 60)
    boxes = [
        (draw(corners), draw(corners), draw(st.integers(1, 40)), draw(st.integers(1, 40)))
        for _ in range(count)
    ]
    group = st.sampled_from([None, None, "one"])
    return drawing(
        *[(str(n), box(x, y, x + w, y + h), draw(group)) for n, (x, y, w, h) in enumerate(boxes)]
    )


def structure(signs):
    return [
        [(part.number, part.name, part.level, part.on, part.line) for part in sign.parts]
        for sign in signs
    ]


@given(drawings())
def test_every_outline_becomes_one_part_numbered_once_one_level_above_what_carries_it(shapes):
    signs = propose(shapes)
    assert sorted(part.name for sign in signs for part in sign.parts) == sorted(
        one.name for one in shapes
    )
    for sign in signs:
        assert [part.number for part in sign.parts] == list(range(1, len(sign.parts) + 1))
        assert [part.level for part in sign.parts] == sorted(part.level for part in sign.parts)
        assert sign.levels == 1 + max(part.level for part in sign.parts)
        for part in sign.parts:
            under = [sign.parts[number - 1].level for number in (part.on, *part.also_on) if number]
            assert part.level == 1 + max(under, default=-1)
        together = unary_union([part.outline.polygon for part in sign.parts])
        assert together.bounds == pytest.approx((0, 0, sign.width_mm, sign.height_mm))


@given(
    drawings(), st.sampled_from([0.5, 2, 4, 16]), st.integers(-5000, 5000), st.integers(-5000, 5000)
)
def test_moving_or_scaling_the_drawing_changes_nothing_but_sizes(shapes, scale, x, y):
    def moved(polygon):
        return affinity.translate(affinity.scale(polygon, scale, scale, origin=(0, 0)), x, y)

    elsewhere = [
        replace(one, outline=Outline.of_polygon(moved(one.outline.polygon))) for one in shapes
    ]
    assert structure(propose(elsewhere)) == structure(propose(shapes))


@given(drawings(), st.data())
def test_joining_keeps_every_part_and_what_it_lies_on(shapes, data):
    signs = propose(shapes)
    chosen = data.draw(st.sets(st.integers(0, len(signs) - 1)))
    joined = propose(shapes, joins=[chosen])
    assert len(joined) == len(signs) - max(0, len(chosen) - 1)

    def lies(some):
        return {
            part.name: part.on and sign.parts[part.on - 1].name
            for sign in some
            for part in sign.parts
        }

    assert lies(joined) == lies(signs)


def test_an_outline_that_touches_itself_is_still_stacked():
    bow = Outline(
        (((0.0, 0.0), (50.0, 50.0), (100.0, 0.0), (100.0, 100.0), (50.0, 50.0), (0.0, 100.0)),)
    )
    shapes = drawing(("board", box(-10, -10, 110, 110)))
    (sign,) = propose([*shapes, DrawnOutline(bow, "#000000", "bow", None, 1)])
    assert sign.parts[1].on == 1


def crowded(count):
    shapes = [("board", box(-20, -20, 1220, 20 * count / 100 + 20))]
    for n in range(count):
        x, y = n % 100 * 12, n // 100 * 20
        shape = (
            Polygon([(0, 0), (10, 0), (10, 14), (5, 9), (0, 14)])
            if n % 2
            else Point(5, 7).buffer(5)
        )
        shapes.append((str(n), affinity.translate(shape, x, y)))
    return drawing(*shapes)


def test_time_grows_with_the_number_of_outlines_and_not_with_its_square():
    crowds = {count: crowded(count) for count in (400, 4000)}

    def stack(count):
        (sign,) = propose(crowds[count])
        assert len(sign.parts) == count + 1 and sign.parts[-1].line == count // 100 - 1

    assert grows_at_most(20, stack, 400, 4000)
