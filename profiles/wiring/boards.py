"""Controller boards: the library's own, and those that come with the package.

A board of the library takes the place of a packaged one with the same id.
"""

from functools import cache
from pathlib import Path

from profiles.model import Board, Device, Firmware, Library

PACKAGED = Path(__file__).parent / "boards"
"""The folder of the packaged board files, each named by its id."""


def board_of(library: Library, device: Device) -> Board | None:
    """Return the board that a device names; None where it names none that is known."""
    return find_board(library, device.wiring.board) if device.wiring.board else None


def find_board(library: Library, board_id: str) -> Board | None:
    """Return the board of this id; None where there is none, or its own file cannot be used."""
    if board_id in library.boards:
        return library.boards[board_id]
    is_unusable = any(document.id == board_id for document in library.unusable)
    if is_unusable or board_id not in _packaged():
        return None
    return _read_board(board_id)


def firmware_of(board: Board | None) -> Firmware | None:
    """Return which firmware a board runs; None where it is not known, or its file does not say."""
    return board.board.firmware if board else None


def list_boards(library: Library) -> dict[str, Board]:
    """Return every board that a device of the library may name, by id."""
    return {**packaged_boards(), **library.boards}


def packaged_boards() -> dict[str, Board]:
    """Return the boards that come with the package, by id."""
    return {board_id: _read_board(board_id) for board_id in _packaged()}


@cache
def _packaged() -> tuple[str, ...]:
    return tuple(path.stem for path in sorted(PACKAGED.glob("*.toml")))


@cache
def _read_board(board_id: str) -> Board:
    import tomllib

    text = (PACKAGED / f"{board_id}.toml").read_text(encoding="utf-8")
    return Board.model_validate(tomllib.loads(text))
