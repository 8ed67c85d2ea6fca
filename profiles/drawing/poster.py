"""Words as large as a terminal has room for, made of the outlines of their letters.

lines = render_poster("START ENGINE", columns=80, rows=12)
"""

from collections.abc import Iterable, Sequence

from profiles.drawing import weights
from profiles.drawing.geometry import Box
from profiles.drawing.paths import Path, polyline
from profiles.drawing.recorder import Recorder
from profiles.drawing.style import WHITE
from profiles.drawing.terminal import HALF_BLOCKS, render_cells
from profiles.lettering import BOLD
from profiles.lettering.outlines import outline_words
from profiles.lettering.union import Contour

PITCH = 1.25
"""Distance of baselines in ems."""


def render_poster(words: str, columns: int, rows: int) -> list[str]:
    """Return lines of block letters within `columns` by `rows`, words broken where that is larger.

    No lines for no words, or where there is no room to speak of.
    """
    tokens = words.split()
    if not tokens or columns < 8 or rows < 4:
        return []

    def half_cells(lines: Sequence[str]) -> float:
        """Half cells that an em takes."""
        widest = max(BOLD.width(line) for line in lines)
        return min(columns / widest, 2 * rows / (PITCH * len(lines)))

    lines = max(_breaks(tokens), key=half_cells)
    board = Recorder()
    height, widest = PITCH * len(lines), max(BOLD.width(line) for line in lines)
    board.rectangle(Box(0.0, 0.0, widest, height), weights.fill(WHITE))
    for number, line in enumerate(lines):
        base = height - PITCH * number - 0.97
        contours = outline_words(BOLD, line)
        if contours:
            board.path(_join(contours, base), weights.fill())
    picture = render_cells(board.finish(), columns, rows, dots=HALF_BLOCKS)
    return list(picture.lines())


def _breaks(tokens: Sequence[str]) -> Iterable[list[str]]:
    """Every number of lines, the words shared out so that the longest is short."""
    widths = [BOLD.width(token) for token in tokens]
    for count in range(1, min(len(tokens), 4) + 1):
        lines: list[list[str]] = [[]]
        share, used = sum(widths) / count, 0.0
        for token, width in zip(tokens, widths, strict=True):
            if lines[-1] and used + width / 2 > share * len(lines) and len(lines) < count:
                lines.append([])
            lines[-1].append(token)
            used += width
        yield [" ".join(line) for line in lines]


def _join(contours: Sequence[Contour], base: float) -> Path:
    """All contours as one path: ways there and back again cancel by the even-odd rule."""
    start = (contours[0][0][0], contours[0][0][1] + base)
    points = []
    for contour in contours:
        lifted = [(x, y + base) for x, y in contour]
        points += [start, *lifted, lifted[0], start]
    return polyline(points, closed=True)
