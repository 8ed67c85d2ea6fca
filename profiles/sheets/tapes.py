"""Label tapes: their width, and how much of it can be printed."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Tape:
    """What a strip is made of; lengths mm."""

    name: str
    width: float
    printable: float


TAPES = {
    tape.name: tape
    for tape in (
        Tape("6", 6.0, 4.0),
        Tape("9", 9.0, 7.0),
        Tape("12", 12.0, 8.0),
        Tape("18", 18.0, 12.0),
        Tape("24", 24.0, 18.0),
        Tape("36", 36.0, 27.0),
    )
}
"""Tapes by their width. Printable is the least of two figures of the tape table of libptouch
(open source, read at 180 dots an inch): the dots of the head in use, and the tape less both its
margins. The first alone exceeds the tape with its margins for all widths below 24 mm."""

PAPER = "paper"
"""Plain paper: as high as two lines need."""
