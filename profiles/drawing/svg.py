"""SVG writer: one page per file, sizes in mm, one user unit per mm, layers as groups.

The letters used are embedded as a web font. Programs that ignore web fonts use the family of that
name where it is installed; for all others the width of each text is pinned (`textLength`), so that
other letters take the same room.
"""

from collections.abc import Sequence
from math import ceil

from profiles.drawing.document import Page
from profiles.drawing.geometry import Point, point_at
from profiles.drawing.paths import CurveTo, LineTo, Path, angle_of, radius_of
from profiles.drawing.recorder import replay
from profiles.drawing.shapes import Text
from profiles.drawing.style import Style
from profiles.drawing.surface import Loss, Written, decimal, decimals, gather, missing_letters
from profiles.lettering import FACES, REGULAR, Face
from profiles.text.inert import xml_attribute, xml_text

CANNOT = (
    "a program that ignores web fonts shows another family, in the same width",
    "letters the faces lack are shown as a replacement mark",
)

FAMILIES = ", ".join([f"'{FACES[0].family}'", "'DejaVu Sans'", "Arial", "sans-serif"])
"""The family sheets are lettered in, then what most machines have."""

_OPEN = (
    '<g fill="none" fill-rule="evenodd" stroke-linejoin="round" '
    f'font-family="{xml_attribute(FAMILIES)}" '
    'style="font-kerning:none;font-variant-ligatures:none">'
)
_ANCHORS = {"left": "start", "middle": "middle", "right": "end"}


def write_svg(
    page: Page, *, title: str = "", prefix: str = "", embed_fonts: bool = True
) -> Written:
    """Return a page as an SVG file.

    `prefix` begins every id, so that one HTML file can hold several pictures.
    """
    surface = SvgSurface(page.height, prefix)
    replay(page.drawing, surface)
    width, height = decimal(page.width), decimal(page.height)
    across, up = decimal(page.width * page.stretch[0]), decimal(page.height * page.stretch[1])
    stretched = "" if page.stretch == (1.0, 1.0) else ' preserveAspectRatio="none"'
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="{across}mm" '
        f'height="{up}mm" viewBox="0 0 {width} {height}"{stretched}>',
    ]
    if title:
        lines.append(f"<title>{xml_text(REGULAR.shown(title))}</title>")
    if embed_fonts:
        lines += write_fonts(page.drawing.texts(), surface.losses)
    lines += [_OPEN, *surface.lines, "</g>", "</svg>", ""]
    return Written("\n".join(lines).encode("utf-8"), gather(surface.losses))


def write_fonts(texts: Sequence[Text], losses: list[Loss]) -> list[str]:
    """Return a `style` element with a web font for each face in use, as lines; losses are added."""
    used: dict[Face, set[str]] = {}
    for text in texts:
        face = text.lettering.face
        used.setdefault(face, set()).update(face.shown(text.words))
    if not used:
        return []
    from base64 import b64encode

    from profiles.lettering.subset import web_font

    rules = []
    for face in FACES:
        if face not in used:
            continue
        try:
            font = b64encode(web_font(face, frozenset(used[face]))).decode("ascii")
        except ImportError:
            losses.append(Loss("font", "letters are not embedded: fonttools is not installed"))
            return []
        rules.append(
            f"@font-face{{font-family:'{face.family}';font-weight:{700 if face.bold else 400};"
            f"src:url(data:font/woff;base64,{font}) format('woff')}}"
        )
    return ["<style>", *rules, "</style>"]


class SvgSurface:
    """The body of an SVG file as a `Surface`; y is turned to point down."""

    def __init__(self, height: float, prefix: str = "") -> None:
        self.lines: list[str] = []
        self.losses: list[Loss] = []
        self._height = height
        self._prefix = prefix
        self._ids: dict[str, int] = {}

    def draw_path(self, path: Path, style: Style) -> None:
        """Draw a path; arcs stay arcs."""
        self.lines.append(f'<path d="{self._data(path)}"{_paint(style)}/>')

    def draw_circle(self, centre: Point, diameter: float, style: Style) -> None:
        """Draw a full circle."""
        x, y = self._flip(centre)
        where = f'cx="{decimal(x)}" cy="{decimal(y)}" r="{decimal(diameter / 2)}"'
        self.lines.append(f"<circle {where}{_paint(style)}/>")

    def draw_text(self, text: Text) -> None:
        """Draw text as text, its width pinned."""
        lettering = text.lettering
        face = lettering.face
        self.losses += missing_letters(face, text.words)
        weight = ' font-weight="700"' if face.bold else ""
        anchor = "" if text.anchor == "left" else f' text-anchor="{_ANCHORS[text.anchor]}"'
        natural = decimal(text.width / lettering.condense)
        x, y = self._flip(text.at)
        flip = -1 if text.reversed else 1
        place = f'x="{decimal(x)}" y="{decimal(y)}"'
        if text.angle or text.reversed or lettering.condense != 1:
            turn = f" rotate({decimal(-text.angle)})" if text.angle else ""
            size = f" scale({decimals((lettering.condense, flip))})"
            place = f'transform="translate({decimals((x, y))}){turn}{size}"'
        self.lines.append(
            f'<text {place} font-size="{decimal(lettering.em)}"{weight}{anchor} '
            f'textLength="{natural}" lengthAdjust="spacingAndGlyphs" fill="{lettering.ink}" '
            f'xml:space="preserve">{xml_text(face.shown(text.words))}</text>'
        )

    def open_layer(self, name: str) -> None:
        """Begin a group whose id is `layer-<name>`."""
        self.lines.append(f'<g id="{self._new_id(f"layer-{name}")}">')

    def close_layer(self) -> None:
        """End the group."""
        self.lines.append("</g>")

    def open_clip(self, path: Path) -> None:
        """Begin a clipped group."""
        name = self._new_id("clip")
        self.lines.append(f'<clipPath id="{name}"><path d="{self._data(path)}"/></clipPath>')
        self.lines.append(f'<g clip-path="url(#{name})">')

    def close_clip(self) -> None:
        """End the clipped group."""
        self.lines.append("</g>")

    def _flip(self, point: Point) -> Point:
        return (point[0], self._height - point[1])

    def _data(self, path: Path) -> str:
        parts = [f"M{decimals(self._flip(path.start))}"]
        for here, piece in path.steps():
            if isinstance(piece, LineTo):
                parts.append(f"L{decimals(self._flip(piece.end))}")
            elif isinstance(piece, CurveTo):
                places = (self._flip(point) for point in (piece.first, piece.second, piece.end))
                parts.append(f"C{decimals([length for place in places for length in place])}")
            else:  # arcs of at most half a circle: SVG cannot say a whole turn in one
                count = max(1, ceil(abs(piece.sweep) / 180.0 - 1e-9))
                radius, start = radius_of(here, piece), angle_of(piece.centre, here)
                angles = [start + piece.sweep * number / count for number in range(1, count)]
                ends = [point_at(piece.centre, radius, angle) for angle in angles] + [piece.end]
                head = f"A{decimal(radius)} {decimal(radius)} 0 0 {int(piece.sweep < 0)} "
                parts += [head + decimals(self._flip(end)) for end in ends]
        return "".join(parts) + ("Z" if path.closed else "")

    def _new_id(self, name: str) -> str:
        """Return an id no other element has: a plain word, numbered from its second use."""
        word = "".join(letter if letter.isascii() and letter.isalnum() else "-" for letter in name)
        self._ids[word] = count = self._ids.get(word, 0) + 1
        return f"{self._prefix}{word}" if count == 1 else f"{self._prefix}{word}-{count}"


def _paint(style: Style) -> str:
    """Return the attributes of a line and a fill."""
    paint = "" if style.fill is None else f' fill="{style.fill}"'
    if style.width is None:
        return paint
    dash = f' stroke-dasharray="{decimals(style.dash)}"' if style.dash else ""
    return f'{paint} stroke="{style.ink}" stroke-width="{decimal(style.width)}"{dash}'
