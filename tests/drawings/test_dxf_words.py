"""Units, layers, colours and names of a DXF file: what the drawing says about its outlines beside their shape."""

import ezdxf
import pint
import pytest
from drawings.corpus_dxf import CORPUS, box, circle, entities, line, new, path, tags, unit, written

from shopfloor.domain.drawing.colours import alike
from shopfloor.domain.drawing.stacking import propose
from shopfloor.drawings.dxf import read_dxf
from shopfloor.drawings.dxf.file import mm_of

BOARD = path(box(0, 0, 300, 100))
# DXF reference, header variables, $INSUNITS; the names are those of the second reader's list of units
UNITS = {
    1: "inch",
    2: "foot",
    3: "mile",
    4: "mm",
    5: "cm",
    6: "m",
    7: "km",
    8: "microinch",
    9: "thou",
    10: "yard",
    11: "angstrom",
    12: "nm",
    13: "micron",
    14: "dm",
    15: "dam",
    16: "hm",
    17: "Gm",
    18: "astronomical_unit",
    19: "light_year",
    20: "parsec",
    21: "survey_foot",
    22: "survey_foot / 12",
    23: "3 survey_foot",
    24: "survey_mile",
}


def kinds(drawing) -> list[str]:
    return [finding.kind for finding in drawing.warnings]


def messages(drawing, kind: str) -> list[str]:
    return [finding.sentence for finding in drawing.warnings if finding.kind == kind]


@pytest.mark.parametrize("code", UNITS)
def test_every_unit_that_the_format_knows_is_turned_into_millimetres(code):
    per_unit = pint.get_application_registry()(UNITS[code]).to("mm").magnitude
    side = 300 / per_unit
    drawing = read_dxf(entities(path(box(0, 0, side, side)), header=unit(code)))
    assert drawing.width_mm == pytest.approx(300, rel=1e-5) and drawing.guessed_unit is None


@pytest.mark.parametrize(
    "header", ["", unit(0), unit(99), unit(-1), tags((9, "$ACADVER"), (1, "AC1015"))]
)
def test_without_a_unit_millimetres_are_taken_and_a_person_is_asked(header):
    drawing = read_dxf(entities(BOARD, header=header))
    assert (drawing.width_mm, drawing.height_mm, drawing.guessed_unit) == (300, 100, "mm")
    assert messages(drawing, "units") == [
        "The drawing has no unit of length. Read as mm, it measures 300.0 × 100.0 mm."
    ]


def test_the_librarys_own_default_of_metres_is_no_answer():
    """ezdxf makes metres of a file without a header; its own new drawings do say metres."""
    assert ezdxf.new().header["$INSUNITS"] == 6
    assert read_dxf(entities(BOARD)).width_mm == 300
    assert read_dxf(entities(BOARD, header=unit(6))).width_mm == 300_000


@pytest.mark.parametrize(
    "name, mm", [("mm", 1), ("cm", 10), ("m", 1000), ("in", 25.4), ("ft", 304.8)]
)
@pytest.mark.parametrize("header", ["", unit(0), unit(1), unit(6)])
def test_the_unit_that_a_person_names_goes_before_what_the_file_says(name, mm, header):
    drawing = read_dxf(entities(BOARD, header=header), name)
    assert (drawing.width_mm, drawing.guessed_unit) == (pytest.approx(300 * mm), None)
    assert "units" not in kinds(drawing) and mm_of(name) == mm


def test_a_drawing_of_an_odd_size_makes_a_wrong_unit_suspected():
    assert "scale" in kinds(read_dxf(entities(path(box(0, 0, 4, 2)), header=unit(4))))
    assert "scale" in kinds(read_dxf(entities(path(box(0, 0, 40, 2)), header=unit(6))))
    assert "scale" not in kinds(read_dxf(entities(BOARD, header=unit(4))))


def test_a_colour_is_the_entitys_own_else_its_blocks_else_its_layers():
    """Numbers 1, 3 and 5 of the format's table of colours are pure red, green and blue."""
    document, space = new("R2010")
    document.layers.add("plain", color=3)
    document.layers.add("true", true_color=0x336699)
    document.blocks.new("plate").add_circle((0, 0), 5, {"color": 0, "layer": "plain"})
    for number, (layer, more) in enumerate(
        [
            ("plain", {}),
            ("true", {}),
            ("plain", {"color": 1}),
            ("plain", {"true_color": 0x102030}),
            ("unknown", {}),
        ]
    ):
        space.add_circle((number * 20, 0), 5 - number * 0.1, {"layer": layer, **more})
    space.add_blockref("plate", (200, 0), {"color": 5, "layer": "true"})
    drawing = read_dxf(written(document))
    found = {one.outline.bounds[0] // 20: one.colour for one in drawing.outlines}
    assert list(found[at] for at in (0, 1, 2, 3, 4, 10)) == [
        "#00ff00",
        "#336699",
        "#ff0000",
        "#102030",
        "#141414",
        "#0000ff",
    ]


def test_layers_of_one_colour_are_kept_apart_for_good_and_that_is_said():
    layers = [f"layer {number}" for number in range(90)]
    shapes = [
        circle(number % 10 * 30, number // 10 * 30, 10, layer)
        for number, layer in enumerate(layers)
    ]
    drawing = read_dxf(entities(*shapes, header=unit(4)))
    colours = [one.colour for one in drawing.outlines]
    assert len(set(colours)) == 90 and colours[0] == "#141414"
    assert messages(drawing, "colour")[0] == (
        "Layers 'layer 0' and 'layer 1' have the same colour (#141414). 'layer 1' is shown as #383838, so that each "
        "keeps its own material."
    )
    assert alike(colours[:60]) == ()
    assert read_dxf(entities(*shapes, header=unit(4))) == drawing


def test_layer_names_differ_by_more_than_their_capitals():
    drawing = read_dxf(entities(BOARD, circle(50, 50, 20, "BOARD"), header=unit(4)))
    assert len(drawing.outlines) == 1 and len(drawing.outlines[0].outline.rings) == 2


def test_a_hole_is_a_hole_by_its_layer_and_an_odd_colour_is_pointed_out():
    red = circle(50, 50, 20) + tags((62, 1))
    drawing = read_dxf(entities(BOARD, red, circle(150, 50, 20), header=unit(4)))
    assert [len(one.outline.rings) for one in drawing.outlines] == [3]
    assert messages(drawing, "hole") == [
        "The outline on layer 'board' has a colour of its own, but its layer makes it a hole. "
        "If it is a part, put it on its own layer."
    ]


def test_the_larger_lies_at_the_bottom_in_whatever_order_they_are_drawn():
    panel, letter = path(box(20, 20, 200, 60), "panel"), circle(100, 50, 10, "letters")
    drawing = read_dxf(entities(letter, panel, BOARD, header=unit(4)))
    assert [one.outline.width_mm for one in drawing.outlines] == [300, 200, 20]
    assert [one.order for one in drawing.outlines] == [0, 1, 2]
    assert propose(drawing.outlines)[0].levels == 3


def test_of_equal_outlines_the_later_drawn_lies_on_top():
    drawing = read_dxf(entities(BOARD, path(box(0, 0, 300, 100), "face"), header=unit(4)))
    sign = propose(drawing.outlines)[0]
    assert sign.levels == 2 and drawing.outlines[1].colour != drawing.outlines[0].colour


@pytest.mark.parametrize(
    "block, name",
    [
        ("bell", "bell"),
        ("*U7", None),
        ("A$C4F2B", None),
        ("Block12", None),
        ("_dot", None),
        ("path9", None),
    ],
)
def test_a_part_is_named_after_the_block_that_holds_it_alone(block, name):
    document, space = new()
    document.blocks.new(block).add_circle((0, 0), 30)
    space.add_blockref(block, (0, 0))
    assert read_dxf(written(document)).outlines[0].name == name


def test_a_block_of_several_parts_names_none_of_them_and_a_layer_names_nothing():
    document, space = new(layers=("board", "dots"))
    pair = document.blocks.new("pair")
    pair.add_circle((0, 0), 30)
    pair.add_circle((80, 0), 30)
    space.add_blockref("pair", (0, 0), {"layer": "dots"})
    assert [one.name for one in read_dxf(written(document)).outlines] == [None, None]


def test_a_letter_with_a_counter_in_a_block_is_one_part_and_has_its_name():
    document, space = new()
    letter = document.blocks.new("ring buoy")
    letter.add_circle((0, 0), 30)
    letter.add_circle((0, 0), 20)
    space.add_blockref("ring buoy", (0, 0))
    assert [one.name for one in read_dxf(written(document)).outlines] == ["ring buoy"]


def test_blocks_and_groups_called_sign_make_signs():
    gulls = read_dxf(CORPUS["names_in_an_old_code_page"][0]())
    assert [sign.name for sign in propose(gulls.outlines)] == ["Möwenplatz"]
    ferry = read_dxf(CORPUS["one_sign_of_two_boards_by_its_group"][0]())
    assert [(sign.name, sign.width_mm) for sign in propose(ferry.outlines)] == [
        ("ferry stage", 250)
    ]


def test_what_is_left_out_is_named_counted_and_has_its_place():
    drawing = read_dxf(CORPUS["much_that_is_no_part"][0]())
    assert messages(drawing, "layer") == [
        "Layer 'old' is off and was left out. Entities on it: 1.",
        "Layer 'cold' is frozen and was left out. Entities on it: 1.",
        "Layer 'Defpoints' is for construction and was left out. Entities on it: 1.",
    ]
    assert messages(drawing, "text") == [
        f'The text "{words}" was left out. Draw its letters as outlines if they are to be cut.'
        for words in ("Bell & Rope", "two lines")
    ]
    assert next(finding.at for finding in drawing.warnings if finding.kind == "text") == (9, 9)
    assert messages(drawing, "hatch") == [
        "Left out on layer '0', because only outlines are read: 1 × hatch."
    ]


def test_an_insert_on_a_layer_that_is_off_hides_only_what_takes_its_layer():
    document, space = new(layers=("seen", "off", "frozen"))
    document.layers.get("off").off()
    document.layers.get("frozen").freeze()
    block = document.blocks.new("two")
    block.add_circle((0, 0), 20)
    block.add_circle((100, 0), 30, {"layer": "seen"})
    for layer in ("off", "frozen"):
        space.add_blockref("two", (0, 0), {"layer": layer})
    drawing = read_dxf(written(document))
    assert [one.outline.width_mm for one in drawing.outlines] == [60]


def test_attributes_of_a_block_are_named_as_words_and_its_templates_are_not():
    document, space = new()
    block = document.blocks.new("plate")
    block.add_circle((0, 0), 20)
    block.add_attdef("NAME", (0, 0), "which?")
    space.add_blockref("plate", (0, 0)).add_auto_attribs({"NAME": "Harbour"})
    drawing = read_dxf(written(document))
    assert messages(drawing, "text") == [
        'The text "Harbour" was left out. Draw its letters as outlines if they are to be cut.'
    ]


def test_blocks_that_are_not_in_the_file_are_named():
    document, space = new()
    space.add_circle((0, 0), 30)
    space.add_blockref("gone", (0, 0))
    document.add_xref_def("elsewhere.dxf", "elsewhere")
    space.add_blockref("elsewhere", (0, 0))
    assert messages(read_dxf(written(document)), "reference") == [
        "A copy of the block 'gone', which is not in the file, was left out: 1.",
        "The block 'elsewhere' is in another file and was left out: 1.",
    ]


def test_a_line_far_out_stays_a_mark_with_its_place_on_the_page():
    drawing = read_dxf(
        entities(path(box(1000, 2000, 300, 100)), line(1100, 2150, 1200, 2150), header=unit(4))
    )
    mark = next(finding for finding in drawing.warnings if finding.kind == "line")
    assert (mark.at, mark.line) == ((100, 150), ((100, 150), (200, 150)))
    assert drawing.height_mm == 150 and len(drawing.outlines) == 1
