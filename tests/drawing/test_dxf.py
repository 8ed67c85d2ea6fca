"""DXF files opened, audited and measured by ezdxf."""

import io
import re
from itertools import pairwise
from math import pi
from typing import Any

import ezdxf
import ezdxf.bbox
import ezdxf.filemanagement
import pytest
from ezdxf.lldxf.encoding import decode_dxf_unicode
from ezdxf.tools.text import plain_text
from hypothesis import given

from profiles.drawing import weights
from profiles.drawing.dxf import write_dxf
from profiles.drawing.geometry import Box, mirrored
from profiles.drawing.paths import CurveTo, Path, rectangle
from profiles.drawing.recorder import Recorder
from profiles.drawing.style import WHITE, Lettering, Style
from profiles.drawing.surface import Loss, Written
from profiles.lettering import BOLD
from tests.hostile import NAUGHTY, hostile_texts


def open_dxf(written: Written) -> Any:
    """The document, after an audit without a single error or repair."""
    document = ezdxf.filemanagement.read(io.StringIO(written.data.decode("ascii")))
    audit = document.audit()
    assert (audit.errors, audit.fixes) == ([], [])
    return document


def entities(board: Recorder) -> list[Any]:
    return list(open_dxf(write_dxf(board.finish())).modelspace())


def test_the_file_says_millimetres() -> None:
    """DXF reference, header variable $INSUNITS: 4 is millimetres."""
    document = open_dxf(write_dxf(Recorder().finish()))
    assert document.header["$INSUNITS"] == 4
    assert document.units == ezdxf.units.MM
    assert document.dxfversion == "AC1009"


def test_every_hole_is_a_circle_of_its_diameter_on_its_layer() -> None:
    board = Recorder()
    holes = [((30.5, 90.25), 16.2), ((60.0, 90.0), 7.0), ((12.345, 6.789), 3.2)]
    with board.layer("holes"):
        for centre, diameter in holes:
            board.circle(centre, diameter, weights.HOLE)
    found = entities(board)
    measured = [(tuple(e.dxf.center)[:2], 2 * e.dxf.radius) for e in found]
    for (centre, diameter), (got_centre, got_diameter) in zip(holes, measured, strict=True):
        assert got_centre == pytest.approx(centre, abs=1e-6)
        assert got_diameter == pytest.approx(diameter, abs=1e-6)
    assert {(e.dxftype(), e.dxf.layer) for e in found} == {("CIRCLE", "holes")}


def test_layers_are_declared_with_colours_of_their_own() -> None:
    board = Recorder()
    for name in ("outline", "holes", "engraving", "cut lines"):
        with board.layer(name):
            board.circle((0, 0), 1)
    table = open_dxf(write_dxf(board.finish())).layers
    names = ("outline", "holes", "engraving", "cut_lines")
    assert [table.get(name).color for name in names] == [1, 5, 3, 6]


def test_lines_arcs_and_rounded_boxes_keep_their_geometry() -> None:
    board = Recorder()
    board.line((0, 0), (100, 0))
    board.arc((50, 50), 10, 30, 100)
    board.arc((50, 50), 10, 30, -100)
    board.rectangle(Box(0, 0, 120, 80), radius=6)
    line, left, right, box = entities(board)
    assert tuple(line.dxf.end) == (100, 0, 0)
    assert (left.dxf.start_angle, left.dxf.end_angle) == pytest.approx((30, 130))
    assert (right.dxf.start_angle, right.dxf.end_angle) == pytest.approx((290, 30))
    assert box.is_closed
    extents = ezdxf.bbox.extents([box])
    assert tuple(extents.extmax)[:2] == pytest.approx((120, 80))
    outline = ezdxf.path.make_path(box)
    corners = list(outline.flattening(0.0001))
    area = abs(ezdxf.math.area(corners))
    assert area == pytest.approx(120 * 80 - (4 - pi) * 36, abs=0.01)


def test_a_whole_turn_as_a_path_has_the_length_of_a_circle() -> None:
    board = Recorder()
    board.arc((5, 5), 10, 17, 360)
    (turn,) = entities(board)
    points = list(ezdxf.path.make_path(turn).flattening(0.0001))
    length = sum(a.distance(b) for a, b in pairwise(points))
    assert length == pytest.approx(20 * pi, abs=0.01)


def test_curves_become_lines_and_that_is_said() -> None:
    board = Recorder()
    board.path(Path((0, 0), (CurveTo((0, 20), (40, 20), (40, 0)),)))
    written = write_dxf(board.finish())
    (curve,) = open_dxf(written).modelspace()
    top = max(vertex.dxf.location.y for vertex in curve.vertices)
    assert top == pytest.approx(15, abs=0.02)
    message = "curves become straight lines within 0.01 mm in DXF"
    assert written.losses == (Loss("line", message),)


def test_text_keeps_its_words_height_place_and_width() -> None:
    board = Recorder()
    board.text(
        (30, 70), "Zażółć Ω Ж", Lettering(3.0, BOLD, condense=0.8), anchor="middle", angle=30
    )
    (text,) = entities(board)
    assert decode_dxf_unicode(text.dxf.text) == "Zażółć Ω Ж"
    assert (text.dxf.height, text.dxf.width, text.dxf.rotation) == pytest.approx((3.0, 0.8, 30))
    assert (text.dxf.halign, tuple(text.dxf.align_point)[:2]) == (1, (30, 70))
    assert text.dxf.style.upper() == "BOLD"


def test_mirrored_text_is_marked_backward() -> None:
    """DXF reference, TEXT group 71: 2 is mirrored in x."""
    board = Recorder()
    board.text((30, 70), "HORN")
    mirror = Recorder()
    mirror.place(board.finish(), mirrored(0))
    (text,) = entities(mirror)
    assert (text.dxf.text_generation_flag, text.dxf.rotation) == (2, 0)
    assert tuple(text.dxf.insert)[:2] == (-30, 70)


def test_dashed_lines_use_a_declared_line_type() -> None:
    board = Recorder()
    board.line((0, 0), (50, 0), weights.HIDDEN)
    board.line((0, 5), (50, 5), weights.CENTRE)
    document = open_dxf(write_dxf(board.finish()))
    first, second = document.modelspace()
    pattern = document.linetypes.get(first.dxf.linetype).pattern_tags
    lengths = [tag.value for tag in pattern.tags if tag.code == 49]
    assert lengths == pytest.approx([3.0, -0.75])
    assert first.dxf.linetype != second.dxf.linetype


def test_what_dxf_cannot_carry_is_said_once_each() -> None:
    board = Recorder()
    with board.clip(rectangle(Box(0, 0, 9, 9))):
        board.circle((0, 0), 2, weights.fill())
        board.circle((5, 0), 2, weights.fill())
        board.circle((5, 0), 2, weights.fill(WHITE))
        board.circle((9, 0), 2, Style(0.25, fill=WHITE))
        board.text((0, 0), "↑")
    written = write_dxf(board.finish())
    missing = 'no letter U+2191 UPWARDS ARROW in Noto Sans Regular; "↑" shows a mark in its place'
    assert [(loss.kind, loss.message) for loss in written.losses] == [
        ("clip", "DXF cannot clip; shapes are drawn whole"),
        ("fill", "DXF carries only the outlines of fills"),
        ("fill", "DXF skips white backgrounds"),
        ("letter", missing),
    ]
    assert [entity.dxftype() for entity in open_dxf(written).modelspace()] == [
        "CIRCLE",
        "CIRCLE",
        "CIRCLE",
        "TEXT",
    ]


@pytest.mark.parametrize("words", NAUGHTY[:200])
def test_hostile_words_stay_words(words: str) -> None:
    _assert_inert(words)


@given(hostile_texts())
def test_any_words_stay_words(words: str) -> None:
    _assert_inert(words)


def _assert_inert(words: str) -> None:
    board = Recorder()
    with board.layer(words or "x"):
        board.text((10, 10), words)
        board.circle((0, 0), 2)
    *texts, circle = open_dxf(write_dxf(board.finish())).modelspace()
    assert circle.dxftype() == "CIRCLE"
    assert {entity.dxftype() for entity in texts} == ({"TEXT"} if words else set())
    assert "".join(map(show, texts)) == Lettering().face.shown(words)


def show(text: Any) -> str:
    """What a reader shows: letters by number decoded first, then carets and codes of `%%`.

    The bar keeps ezdxf from taking a caret off the end.
    """
    return plain_text(decode_dxf_unicode(text.dxf.text) + "|")[:-1]


@pytest.mark.parametrize(
    "words",
    [
        "LAMP %%c 5",
        "%%u%%o RUN %%d",
        "50%%%",
        "TAB^IONE",
        "^ ^J^^",
        "NEW\\PLINE",
        "\\U+0041 \\M+1A0B2",
        "{\\fSymbol;a}",
        "%<\\AcVar Date>%",
    ],
)
def test_codes_of_other_programs_are_shown_as_letters(words: str) -> None:
    """DXF reference, `%%` codes, caret notation, letters by number; and MTEXT codes.

    No piece holds a whole code, so that it stays inert for readers that decode once more.
    """
    board = Recorder()
    board.text((10, 10), words, Lettering(3.0), anchor="middle", angle=30)
    texts = entities(board)
    assert "".join(map(show, texts)) == words
    for text in texts:
        assert not re.search(r"%%|\\.|\^[^ ]", decode_dxf_unicode(text.dxf.text))


@pytest.mark.parametrize(
    "words", ["x" * 600, "Щ" * 90, "\\" * 40, "%" * 40], ids=["x", "Щ", "slashes", "percents"]
)
def test_long_words_go_on_where_the_last_piece_ends(words: str) -> None:
    """DXF reference: strings of R12 have at most 255 characters."""
    board = Recorder()
    board.text((10, 10), words, Lettering(3.0), anchor="right", angle=90)
    written = write_dxf(board.finish())
    assert max(map(len, written.data.decode("ascii").splitlines())) <= 255
    texts = list(open_dxf(written).modelspace())
    assert "".join(map(show, texts)) == words
    at = 10 - Lettering(3.0).width(words)
    for text in texts:
        assert tuple(text.dxf.insert)[:2] == pytest.approx((10, at), abs=1e-4)
        at += Lettering(3.0).width(show(text))
