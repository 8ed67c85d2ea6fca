"""Write the metrics files from the fonts: `python -m profiles.lettering.generate`.

Needs fontTools (test extra). Run it after the font package changes; a test fails when the
committed files and the fonts disagree.
"""

import io
import sys
import unicodedata
from typing import Any

from profiles.lettering.faces import FACES, Face, font_bytes
from profiles.lettering.tables import metrics_path

UNSHOWABLE = frozenset({"Cc", "Cf", "Cn", "Co", "Cs", "Mc", "Me", "Mn", "Zl", "Zp"})
"""Unicode general categories that cannot be shown letter by letter: controls and direction marks
have nothing to see, combining marks need a shaper to find their place, separators break lines."""


def is_showable(letter: str) -> bool:
    """Tell whether a letter can be shown by itself: no shaping, no control, its own NFC form."""
    own_form = unicodedata.is_normalized("NFC", letter)
    return own_form and unicodedata.category(letter) not in UNSHOWABLE


def render_metrics(face: Face) -> str:
    """Return the text of a face's metrics file, read from its font's own tables.

    Heights of letters come from the outlines of H and x: the bold font states the x-height of the
    regular one (536 units) but draws 546.
    """
    from fontTools.ttLib import TTFont

    font: Any = TTFont(io.BytesIO(font_bytes(face)))
    lines = [
        f"# {font['name'].getDebugName(4)}, {font['name'].getDebugName(5)}",
        "# advance widths, low and high ink in font units; written by profiles.lettering.generate",
        f"units_per_em {font['head'].unitsPerEm}",
        f"cap_height {font['glyf']['H'].yMax}",
        f"x_height {font['glyf']['x'].yMax}",
        f"ascent {font['hhea'].ascent}",
        f"descent {font['hhea'].descent}",
    ]
    runs: list[list[int]] = []
    letters = font.getBestCmap()
    for code in sorted(code for code in letters if is_showable(chr(code))):
        if not runs or code != runs[-1][-1] + 1:
            runs.append([])
        runs[-1].append(code)
    for run in runs:
        names = [letters[code] for code in run]
        inks = [font["glyf"][name] for name in names]
        lines.append(_render_run("", run, [font["hmtx"][name][0] for name in names]))
        lines.append(_render_run("low ", run, [getattr(ink, "yMin", 0) for ink in inks]))
        lines.append(_render_run("high ", run, [getattr(ink, "yMax", 0) for ink in inks]))
    return "\n".join(lines) + "\n"


def _render_run(kind: str, run: list[int], values: list[int]) -> str:
    return f"{kind}{run[0]:04x}-{run[-1]:04x} {' '.join(map(str, values))}"


def main() -> None:
    """Write every face's metrics file and name it."""
    for face in FACES:
        path = metrics_path(face.stem)
        path.write_text(render_metrics(face), encoding="ascii", newline="\n")
        sys.stdout.write(f"{path.name}\n")


if __name__ == "__main__":
    main()
