"""The plate for a cutter or engraver: lines alone, told apart by layer and colour.

| layer | colour | what |
|---|---|---|
| `cut` | red | the outline, the holes of controls, fixtures and screws |
| `engrave` | black | words, as closed outlines or as single strokes |
| `mark` | blue | leaders, arrows, marks of scales, lines under words, edges of countersinks |

There is no text, no fill, and no line twice, so that no program needs a font and no tool runs the
same way again. The colours are those that programs for laser cutters expect (rule of thumb).
"""

from collections.abc import Iterator

from profiles.drawing import weights
from profiles.drawing.document import Document
from profiles.drawing.geometry import mirrored
from profiles.drawing.letters import LetterLines, keep_once, letters_as_lines
from profiles.drawing.recorder import Drawing, Entry
from profiles.drawing.shapes import Circle, Shape, Stroke, Text
from profiles.drawing.style import Style
from profiles.facts.legend_layout import describe_labels, lay_out_legend
from profiles.lettering.strokes import missing_strokes
from profiles.sheets.legend import PRINTED_KEY, find_remarks
from profiles.sheets.plate import draw_lines
from profiles.sheets.plate_words import draw_words
from profiles.sheets.requests import CutRequest
from profiles.sheets.sheet import PrintedSheet, Remark, Subject
from profiles.text.inert import escape_controls

COLOURS = {"cut": "#ff0000", "engrave": "#000000", "mark": "#0000ff"}
"""The colour of each layer."""

_CUTTER = {"outline": "cut", "holes": "cut", "countersinks": "mark"}
"""Layers of the plate that are cut; what else it has, such as countersinks, is marked."""


def make_sheet(subject: Subject, request: CutRequest) -> PrintedSheet:
    """Make the plate with its words as lines for a machine."""
    device = subject.device
    layout = lay_out_legend(device, subject.links, request.labels)
    art = draw_words(device, layout)
    work, twice = keep_once([*_sort_lines(draw_lines(device)), *_sort_words(art, request.letters)])
    if request.rear:
        work = work.transformed(mirrored(device.plate.width / 2))
    remarks = [*find_remarks(device, layout, PRINTED_KEY), *_find_missing(art, request.letters)]
    if twice:
        remarks.append(Remark("note", f"duplicate lines drawn once: {twice}"))
    return PrintedSheet(
        title=f"{device.name}: lines to cut and engrave",
        work=work,
        document=Document(()),
        remarks=tuple(remarks),
        is_for_machine=True,
        paged=(),
        facts={
            "labels": describe_labels(layout.placement),
            "letters": request.letters,
            "lines": {layer: len(work.on_layers([layer]).entries) for layer in COLOURS},
        },
    )


def _sort_lines(drawing: Drawing) -> Iterator[Entry]:
    """What is cut, in the colour of its layer."""
    for entry in drawing.entries:
        yield _entry(entry.shape, _CUTTER.get(entry.layer, "mark"))


def _sort_words(drawing: Drawing, lines: LetterLines) -> Iterator[Entry]:
    """Letters to engrave, and lines to mark."""
    words = Drawing(tuple(one for one in drawing.entries if isinstance(one.shape, Text)))
    for entry in letters_as_lines(words, lines).entries:
        yield _entry(entry.shape, "engrave")
    for entry in drawing.entries:
        if not isinstance(entry.shape, Text):
            yield _entry(entry.shape, "mark")


def _entry(shape: Shape, layer: str) -> Entry:
    style = Style(weights.HAIR, COLOURS[layer])
    if isinstance(shape, Circle):
        return Entry(Circle(shape.centre, shape.diameter, style), layer)
    if isinstance(shape, Stroke):
        return Entry(Stroke(shape.path, style), layer)
    raise TypeError("letters are lines by now")


def _find_missing(drawing: Drawing, lines: LetterLines) -> Iterator[Remark]:
    """Letters that are not drawn in single strokes."""
    if lines == "strokes":
        for text in drawing.texts():
            if missing := missing_strokes(text.words):
                letters = escape_controls("".join(missing))
                words = escape_controls(text.words)
                yield Remark("skipped", f"no single strokes for `{letters}` in `{words}`")
