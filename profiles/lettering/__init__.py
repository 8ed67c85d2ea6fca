"""Metrics of the letters we print, without opening a font.

* `faces`: the two faces, how wide a text is, and which of its letters a face lacks.
* `tables`: reads the committed metrics (`*.metrics`, plain text, one line per run of letters).
* `subset`: a web font of the letters in use, for files that embed fonts.
* `generate`: writes those files from the font itself (`python -m profiles.lettering.generate`).

Measuring a label must cost next to nothing, so this room imports no font library: the fonts are
opened only by `font_bytes` and `subset`, when a writer embeds one.
"""

from profiles.lettering.faces import (
    BOLD,
    FACES,
    REGULAR,
    REPLACEMENT,
    Face,
    em_for_cap_height,
    font_bytes,
    width_mm,
)

__all__ = [
    "BOLD",
    "FACES",
    "REGULAR",
    "REPLACEMENT",
    "Face",
    "em_for_cap_height",
    "font_bytes",
    "width_mm",
]
