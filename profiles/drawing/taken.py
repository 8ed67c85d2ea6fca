"""Places of a drawing that are taken, looked up by where they are."""

from collections.abc import Iterable, Iterator

from profiles.drawing.geometry import Box

_CELL = 10.0
"""Side of the squares by which boxes are looked up, mm."""


class TakenBoxes:
    """Boxes that nothing else may meet; asking takes as long as there are boxes near by."""

    def __init__(self, boxes: Iterable[Box]) -> None:
        self._cells: dict[tuple[int, int], list[Box]] = {}
        for box in boxes:
            self.add(box)

    def add(self, box: Box) -> None:
        """Take a box."""
        for cell in _cells(box):
            self._cells.setdefault(cell, []).append(box)

    def is_free(self, box: Box) -> bool:
        """Whether a box meets none that is taken."""
        near = (other for cell in _cells(box) for other in self._cells.get(cell, ()))
        return not any(box.meets(other) for other in near)


def _cells(box: Box) -> Iterator[tuple[int, int]]:
    for column in range(int(box.left // _CELL), int(box.right // _CELL) + 1):
        for row in range(int(box.bottom // _CELL), int(box.top // _CELL) + 1):
            yield column, row
