"""Read the committed metrics of a face.

A metrics file is plain text: `key value` lines, then one line per run of neighbouring letters,
`first-last advance advance ...`, code points in hexadecimal and advances in font units; lines that
begin with `low` and `high` give the ends of the ink of the same runs. Only letters that can be
shown one by one are in it (see `generate.is_showable`).
"""

from functools import cache
from pathlib import Path
from typing import NamedTuple

from profiles.text.sign_words import SIDE, SIGN_LETTERS, SIGN_WIDTHS

HERE = Path(__file__).parent
"""Where the metrics files lie: beside this module, so that every install carries them."""


class Metrics(NamedTuple):
    """Vertical figures, advance widths and ink of one face, all in font units."""

    units_per_em: int
    cap_height: int
    x_height: int
    ascent: int
    descent: int
    advances: dict[str, int]
    lows: dict[str, int]
    """Lowest ink by letter; 0 where it has none."""
    highs: dict[str, int]
    """Highest ink by letter; 0 where it has none."""


def metrics_path(stem: str) -> Path:
    """Return the metrics file of the face called `stem`."""
    return HERE / f"{stem}.metrics"


@cache
def load_metrics(stem: str) -> Metrics:
    """Read the metrics of one face, signs added; each file is read once per process."""
    figures: dict[str, int] = {}
    runs: dict[str, dict[str, int]] = {"": {}, "low": {}, "high": {}}
    for line in metrics_path(stem).read_text(encoding="ascii").splitlines():
        key, *values = line.split(" ")
        kind, run = (key, values.pop(0)) if key in runs else ("", key)
        if "-" in run:
            first, last = (int(code, 16) for code in run.split("-"))
            letters = map(chr, range(first, last + 1))
            runs[kind].update(zip(letters, map(int, values), strict=True))
        elif key != "#":
            figures[key] = int(values[0])
    for name, width in SIGN_WIDTHS.items():
        letter, cap = SIGN_LETTERS[name], figures["cap_height"]
        runs[""][letter] = round((width + 2 * SIDE) * cap)
        runs["low"][letter], runs["high"][letter] = 0, cap
    return Metrics(advances=runs[""], lows=runs["low"], highs=runs["high"], **figures)
