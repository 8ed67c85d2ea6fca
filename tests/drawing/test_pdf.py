"""PDF files measured and read by PDFium."""

import ctypes
import os
import subprocess
import sys
from importlib import import_module
from math import dist
from typing import Any

import pytest

from profiles.drawing import weights
from profiles.drawing.document import Document, Page
from profiles.drawing.geometry import Box, mirrored
from profiles.drawing.paper import A3, A4, A5, LEGAL, LETTER, Paper
from profiles.drawing.paths import rectangle
from profiles.drawing.pdf import write_pdf
from profiles.drawing.recorder import Drawing, Recorder
from profiles.drawing.ruler import draw_ruler
from profiles.drawing.style import BLACK, Lettering, Style
from profiles.drawing.surface import Loss, TooLargeError
from profiles.lettering import BOLD, REGULAR
from tests.drawing.pdf_reader import PdfReader
from tests.hostile import NAUGHTY

LANGUAGES = {
    "Polish": "Zażółć gęślą jaźń",
    "Czech": "Příliš žluťoučký kůň",
    "German": "Zwölf Boxkämpfer, größer",
    "Greek": "Ξεσκεπάζω την βδελυγμία",
    "Cyrillic": "Съешь ещё булок",
}


def one_page(board: Recorder, paper: Paper = A4) -> Document:
    return Document((Page(paper.width, paper.height, board.finish()),), title="Helm desk")


def read(board: Recorder, paper: Paper = A4) -> PdfReader:
    return PdfReader(write_pdf(one_page(board, paper)).data)


@pytest.mark.parametrize("paper", [A3, A4, A5, LETTER, LEGAL], ids=lambda paper: paper.name)
def test_a_page_is_as_large_as_its_paper(paper: Paper) -> None:
    board = Recorder()
    assert read(board, paper).size() == pytest.approx((paper.width, paper.height), abs=0.001)
    wide = paper.landscape
    assert read(board, wide).size() == pytest.approx((wide.width, wide.height), abs=0.001)


@pytest.mark.parametrize(
    ("pages", "shapes", "said", "remedy"),
    [
        (
            251,
            0,
            "a PDF file would have 251 pages, more than 250",
            "Choose larger paper, or another format.",
        ),
        (
            1,
            100_001,
            "a PDF file would have 100001 lines and words, more than 100000",
            "Choose another format.",
        ),
    ],
)
def test_a_document_beyond_the_budget_is_refused_with_its_figure(
    pages: int, shapes: int, said: str, remedy: str
) -> None:
    board = Recorder()
    board.line((0, 0), (1, 1))
    drawing = Drawing(board.finish().entries * shapes)
    with pytest.raises(TooLargeError) as raised:
        write_pdf(Document((Page(210.0, 297.0, drawing),) * pages))
    assert (str(raised.value), raised.value.remedy) == (said, remedy)


def test_the_ruler_measures_100_mm_from_its_first_to_its_last_tick() -> None:
    """Measured along the path itself: bounds would include the width of the line."""
    board = Recorder()
    draw_ruler(board, (20, 30))
    paths = read(board).paths()
    base = next(path for path in paths if path.height < 0.001)
    ticks = sorted(path.ends[0][0] for path in paths if path.width < 0.001)
    assert base.width == pytest.approx(100, abs=0.05)
    assert len(ticks) == 101
    assert ticks == pytest.approx([20 + mm for mm in range(101)], abs=0.05)


@pytest.mark.parametrize("diameter", [3.2, 16.2, 22.5, 60.0])
def test_circles_stand_at_their_centres_with_their_diameters(diameter: float) -> None:
    board = Recorder()
    board.circle((83.7, 141.3), diameter, weights.HOLE)
    (path,) = read(board).paths()
    assert path.centre == pytest.approx((83.7, 141.3), abs=0.05)
    assert (path.width, path.height) == pytest.approx((diameter, diameter), abs=0.05)
    radii = [dist(end, (83.7, 141.3)) for end in path.ends]
    assert radii == pytest.approx([diameter / 2] * len(radii), abs=0.001)


def test_lines_and_rounded_boxes_keep_their_corners() -> None:
    board = Recorder()
    board.polyline([(10, 20), (110, 20), (110, 70.5)])
    board.rectangle(Box(10, 100, 150, 180), radius=6)
    line, box = read(board).paths()
    assert [tuple(round(v, 3) for v in end) for end in line.ends] == [
        (10, 20),
        (110, 20),
        (110, 70.5),
    ]
    assert (box.width, box.height) == pytest.approx((140, 80), abs=0.001)


@pytest.mark.parametrize("language", LANGUAGES)
def test_letters_of_many_languages_are_found_again_as_text(language: str) -> None:
    words = LANGUAGES[language]
    board = Recorder()
    board.text((20, 100), words, Lettering(4.0))
    board.text((20, 80), words, Lettering(4.0, BOLD))
    assert read(board).text().split("\r\n") == [words, words]


def test_fonts_are_embedded_as_subsets() -> None:
    board = Recorder()
    board.text((20, 100), "HORN", Lettering(4.0))
    board.text((20, 90), "Żaba", Lettering(4.0, BOLD))
    written = write_pdf(one_page(board))
    assert PdfReader(written.data).embedded_fonts() == {True}
    assert b"Helvetica" not in written.data
    assert len(written.data) < 40_000


@pytest.mark.parametrize("anchor", ["left", "middle", "right"])
@pytest.mark.parametrize("condense", [1.0, 0.75])
def test_text_stands_within_the_box_that_was_measured(anchor: str, condense: float) -> None:
    """Letters have side bearings, so ink may end up to 0.1 em inside the measured box."""
    lettering = Lettering(5.0, condense=condense)
    board = Recorder()
    board.text((100, 100), "HHHHHH", lettering, anchor=anchor)  # type: ignore[arg-type]
    left = 100 - {"left": 0.0, "middle": 0.5, "right": 1.0}[anchor] * lettering.width("HHHHHH")
    ((words, got_left, bottom, right, top),) = read(board).text_boxes()
    assert words == "HHHHHH"
    bearing = 0.1 * lettering.em
    assert left <= got_left <= left + bearing
    assert right <= left + lettering.width("HHHHHH") <= right + bearing
    assert (bottom, top) == pytest.approx((100, 105), abs=0.05)


def test_turned_text_runs_up_the_page() -> None:
    board = Recorder()
    board.text((50, 60), "HHHH", Lettering(5.0), angle=90)
    picture = read(board).pixels(dots_per_mm=8).convert("L")
    left, top, right, bottom = picture.point(lambda value: 255 if value < 128 else 0).getbbox()
    assert (right - left) / 8 == pytest.approx(5.0, abs=0.3)
    assert left / 8 == pytest.approx(45, abs=0.3)
    assert A4.height - bottom / 8 == pytest.approx(60, abs=0.8)
    ink = Lettering(5.0).width("HHHH") - 2 * 0.098 * Lettering(5.0).em
    assert (bottom - top) / 8 == pytest.approx(ink, abs=0.3)


def test_mirrored_text_is_the_mirror_picture_of_the_text() -> None:
    board = Recorder()
    board.text((60, 100), "FLAPS 7", Lettering(6.0), angle=20)
    mirror = Recorder()
    mirror.place(board.finish(), mirrored(A4.width / 2))
    plain = read(board).pixels(dots_per_mm=2).convert("L")
    turned = read(mirror).pixels(dots_per_mm=2).convert("L").transpose(0)
    changed = sum(abs(a - b) > 128 for a, b in zip(plain.tobytes(), turned.tobytes(), strict=True))
    assert changed < 20


def test_a_letter_the_face_lacks_is_replaced_visibly_and_named() -> None:
    board = Recorder()
    board.text((20, 100), "TRIM ↑", Lettering(4.0))
    written = write_pdf(one_page(board))
    assert PdfReader(written.data).text() == "TRIM \N{REPLACEMENT CHARACTER}"
    message = (
        'no letter U+2191 UPWARDS ARROW in Noto Sans Regular; "TRIM ↑" shows a mark in its place'
    )
    assert written.losses == (Loss("letter", message),)


def test_a_clip_hides_what_lies_outside_and_ends() -> None:
    board = Recorder()
    with board.clip(rectangle(Box(50, 50, 60, 60))):
        board.rectangle(Box(40, 40, 70, 70), weights.fill(BLACK))
    board.circle((100, 100), 4, weights.fill(BLACK))
    picture = read(board).pixels(dots_per_mm=2)
    dark = {at for at in ((45, 45), (55, 55), (65, 55), (100, 100)) if _is_dark(picture, at)}
    assert dark == {(55, 55), (100, 100)}


def _is_dark(picture: Any, at: tuple[float, float]) -> bool:
    place = (round(at[0] * 2), round((A4.height - at[1]) * 2))
    red, green, blue = picture.getpixel(place)[:3]
    return bool(red + green + blue < 100)


def test_styles_after_a_clip_are_drawn_as_asked() -> None:
    """A clip restores the state of the page; ink, width and condensing must come back with it."""
    board = Recorder()
    red, wide = weights.fill("#ff0000"), Lettering(4.0, ink="#0000ff", condense=0.75)
    board.circle((20, 20), 8, red)
    with board.clip(rectangle(Box(0, 0, 200, 200))):
        board.circle((40, 20), 8, weights.fill("#00ff00"))
        board.text((20, 60), "HHHHHHHH", wide)
    board.circle((60, 20), 8, red)
    board.text((20, 80), "HHHHHHHH", Lettering(4.0, ink="#0000ff"))
    reader = read(board)
    picture = reader.pixels(dots_per_mm=2)
    places = [(x * 2, round((A4.height - 20) * 2)) for x in (20, 40, 60)]
    assert [picture.getpixel(place)[:3] for place in places] == [
        (255, 0, 0),
        (0, 255, 0),
        (255, 0, 0),
    ]
    widths = [
        right - left for _, left, _, right, _ in sorted(reader.text_boxes(), key=lambda b: b[2])
    ]
    assert widths[0] / widths[1] == pytest.approx(0.75, abs=0.01)


def test_dashes_leave_gaps() -> None:
    board = Recorder()
    board.line((20, 100), (80, 100), Style(1.0, dash=(10.0, 10.0)))
    picture = read(board).pixels(dots_per_mm=2)
    assert [_is_dark(picture, (x, 100)) for x in (25, 35, 45, 55)] == [True, False, True, False]


def test_the_same_document_gives_the_same_bytes_in_another_process() -> None:
    program = (
        "import sys\n"
        "from profiles.drawing.document import Document, Page\n"
        "from profiles.drawing.recorder import Recorder\n"
        "from profiles.drawing.pdf import write_pdf\n"
        "board = Recorder(); board.circle((50, 50), 20); board.text((9, 9), 'Żółw Ω')\n"
        "page = Page(210, 297, board.finish())\n"
        "sys.stdout.buffer.write(write_pdf(Document((page, page), 'Helm')).data)\n"
    )
    runs = [
        subprocess.run([sys.executable, "-c", program], capture_output=True, check=True).stdout
        for _ in range(2)
    ]
    assert runs[0][:5] == b"%PDF-"
    assert runs[0] == runs[1]


def test_a_date_for_other_programs_changes_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """The library reads SOURCE_DATE_EPOCH (Reproducible Builds), and stops at what is no number."""
    plain = write_pdf(one_page(Recorder())).data
    for epoch in ("1", "abc"):
        monkeypatch.setenv("SOURCE_DATE_EPOCH", epoch)
        assert write_pdf(one_page(Recorder())).data == plain
        assert os.environ["SOURCE_DATE_EPOCH"] == epoch


def test_writing_twice_in_one_process_gives_the_same_bytes() -> None:
    board = Recorder()
    board.text((20, 100), "Zażółć", Lettering(4.0))
    document = one_page(board)
    assert write_pdf(document).data == write_pdf(document).data


def test_viewers_are_asked_to_print_without_scaling() -> None:
    """ISO 32000-1, table 150: ViewerPreferences, PrintScaling None."""
    assert b"/PrintScaling /None" in write_pdf(one_page(Recorder())).data


def test_pages_come_in_order() -> None:
    pages = []
    for words in ("first", "second", "third"):
        board = Recorder()
        board.text((20, 100), words)
        pages.append(Page(A5.width, A5.height, board.finish()))
    reader = PdfReader(write_pdf(Document(tuple(pages))).data)
    assert [reader.text(page) for page in range(len(reader))] == ["first", "second", "third"]


def test_importing_the_writer_loads_no_pdf_library() -> None:
    program = (
        "import sys, profiles.drawing.pdf, profiles.drawing.png, profiles.drawing.layout;"
        "print([m for m in sys.modules if m.split('.')[0] in ('reportlab', 'pypdfium2', 'PIL')])"
    )
    run = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    assert run.stdout == "[]\n"


def test_widths_on_paper_are_those_measured_before() -> None:
    """No kerning and no shaping: a pair that fonts kern (AV) is as wide as its advances.

    The bearings of H, 98 of 1000 units on either side, are the font's own (`hmtx`, `glyf`).
    """
    board = Recorder()
    lettering = Lettering(10.0)
    board.text((20, 100), "HAVAVAVH", lettering)
    ((_, left, _, right, _),) = read(board).text_boxes()
    ink = lettering.width("HAVAVAVH") - (right - left)
    bearings = 2 * 0.098 * lettering.em
    assert ink == pytest.approx(bearings, abs=0.05)
    assert REGULAR.width("AV") == pytest.approx(REGULAR.width("A") + REGULAR.width("V"))


def test_hostile_words_are_only_words() -> None:
    """Each on a line of its own: the file opens, holds no action, and the text is what is shown."""
    board = Recorder()
    for number, words in enumerate(NAUGHTY):
        board.text((10, 280 - 2.5 * (number % 100)), words, Lettering(1.0))
    document = Document((Page(210, 297, board.finish()),), title="".join(NAUGHTY), subject=") >>")
    written = write_pdf(document)
    reader = PdfReader(written.data)
    assert len(reader) == 1
    assert reader.actions() == 0
    assert {loss.kind for loss in written.losses} == {"letter"}


@pytest.mark.parametrize("words", ["\\) Tj ET (", "<<>>", "(((", "%PDF-1.4", "\\101", "${7*7}"])
def test_letters_with_a_meaning_in_pdf_come_back_as_they_were(words: str) -> None:
    board = Recorder()
    board.text((20, 100), words, Lettering(4.0))
    assert read(board).text() == words


@pytest.mark.parametrize(
    "words", ["https://harbour.example", "javascript:x()", "me@harbour.example"]
)
def test_addresses_are_words_without_links(words: str) -> None:
    """A viewer may offer an address in plain sight as a link; the file itself holds none."""
    reader = read_titled(words)
    assert (reader.text(), reader.actions(), reader.title()) == (words, 0, words)


@pytest.mark.parametrize("title", ["þÿ\x20A", "ÿþab", "ï»¿x", "\\376\\377", ") /Type (", "ŻÓŁW Ω"])
def test_a_title_is_never_taken_for_another_encoding(title: str) -> None:
    """ISO 32000-1, 7.9.2.2: text strings that begin with FE FF are UTF-16; 32000-2 adds UTF-8."""
    assert read_titled(title).title() == title


def read_titled(words: str) -> PdfReader:
    board = Recorder()
    board.text((20, 100), words, Lettering(4.0))
    return PdfReader(write_pdf(Document((Page(210, 297, board.finish()),), title=words)).data)


@pytest.mark.parametrize("title", ["Helm desk", "þÿ (desk"])
def test_words_are_tagged_in_order_and_what_is_drawn_is_one_figure(title: str) -> None:
    """The structure as PDFium reads it (ISO 32000-1, 14.7): borders are no part of it."""
    raw: Any = import_module("pypdfium2.raw")
    board = Recorder()
    with board.layer("frame"):
        board.rectangle(Box(1, 1, 99, 99))
    board.circle((50, 50), 10)
    board.text((10, 10), "FIRST")
    board.line((0, 0), (5, 5))
    board.text((10, 20), "SECOND")
    page = Page(100, 100, board.finish(), "A1")
    data = write_pdf(Document((page, page), title)).data
    file: Any = import_module("pypdfium2").PdfDocument(data)
    assert raw.FPDFCatalog_IsTagged(file)

    def tell(get: Any, element: Any) -> str:
        buffer = ctypes.create_string_buffer(400)
        size = get(element, buffer, 400)
        return buffer.raw[: max(0, size - 2)].decode("utf-16le")

    for number in range(2):
        tree = raw.FPDF_StructTree_GetForPage(file[number])
        document = raw.FPDF_StructTree_GetChildAtIndex(tree, 0)
        sections = [
            raw.FPDF_StructElement_GetChildAtIndex(document, place)
            for place in range(raw.FPDF_StructElement_CountChildren(document))
        ]
        (section,) = [one for one in sections if one]
        parts = [
            raw.FPDF_StructElement_GetChildAtIndex(section, place)
            for place in range(raw.FPDF_StructElement_CountChildren(section))
        ]
        assert [tell(raw.FPDF_StructElement_GetType, one) for one in parts] == ["Figure", "P", "P"]
        assert tell(raw.FPDF_StructElement_GetAltText, parts[0]) == f"Drawing: {title} A1"
        assert [raw.FPDF_StructElement_GetMarkedContentIdCount(one) for one in parts] == [2, 1, 1]


@pytest.mark.parametrize(
    ("printed", "stated"), [("2031-05-01", "D:20310501"), ("", ""), ("1 May", "")]
)
def test_a_file_has_the_date_that_is_printed_or_none(printed: str, stated: str) -> None:
    page = Page(100, 100, Recorder().finish())
    data = write_pdf(Document((page,), "Helm desk", date=printed)).data
    told = import_module("pypdfium2").PdfDocument(data).get_metadata_dict()
    assert (told["CreationDate"], told["ModDate"]) == (stated, stated)
