"""Controller boards: which pins there are and what they can bear, read from board files.

Two files come with the package (`own_boards`); a user's own files have the same form, are read one
by one (`load_board`), and one with the id of one of ours takes its place (`find_board`).

A board file has the keys of `Board` under `[board]`, `[limits]`, `[groups]`, `[pins]` and
`[notes]`; every problem of a file is told at once.
"""

from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple

HERE = Path(__file__).parent / "boards"


class Group(NamedTuple):
    """Pins whose currents share one limit, mA."""

    name: str
    limit: float
    pins: tuple[str, ...]


class Board(NamedTuple):
    """A controller board. Currents mA, voltages V, pull-ups kilohm; None where not known.

    `ports` is the chip's name of each pin, `notes` what else hangs on it. `source` is that of the
    limits, `pin_source` that of the limit of one pin where it is another.
    """

    id: str
    name: str
    supply: float
    pins: tuple[str, ...]
    ports: Mapping[str, str]
    source: str
    pin_limit: float
    board_limit: float
    pin_absolute: float | None = None
    own_current: float = 0.0
    pull_up_least: float | None = None
    pull_up_most: float | None = None
    groups: tuple[Group, ...] = ()
    notes: Mapping[str, str] = {}
    pin_source: str = ""

    @property
    def has_pull_ups(self) -> bool:
        """Whether its pins have pull-ups of their own."""
        return self.pull_up_least is not None


class BoardFileError(ValueError):
    """A board file that cannot be used; `problems` tells each reason."""

    def __init__(self, path: Path, problems: list[str]) -> None:
        super().__init__(f"{path.name}: " + "; ".join(problems))
        self.path = path
        self.problems = tuple(problems)


def own_boards() -> dict[str, Board]:
    """Return the boards that come with the package, by id."""
    boards = (load_board(path) for path in sorted(HERE.glob("*.toml")))
    return {board.id: board for board in boards}


def find_board(board_id: str | None, users: Mapping[str, Board] | None = None) -> Board | None:
    """Return the board of this id, from the user's or from ours; None where there is none."""
    if board_id is None:
        return None
    if users and board_id in users:
        return users[board_id]
    path = HERE / f"{board_id}.toml"
    return load_board(path) if path.parent == HERE and path.is_file() else None


def load_board(path: Path) -> Board:
    """Read one board file.

    Raises:
        BoardFileError: where it is no TOML, or keys are missing, unknown or of the wrong kind.
    """
    import tomllib

    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise BoardFileError(path, [f"cannot be read: {error}"]) from error
    return _Reader(path, data).board()


_KEYS: Mapping[str, Mapping[str, bool]] = {
    "board": {
        "id": True,
        "name": True,
        "supply": True,
        "own_current": False,
        "pull_up_least": False,
        "pull_up_most": False,
    },
    "limits": {
        "pin": True,
        "board": True,
        "source": True,
        "pin_absolute": False,
        "pin_source": False,
    },
}
"""Keys of the fixed tables, and whether each must be there."""

_TABLES = ("format", "board", "limits", "groups", "pins", "notes")

_TEXTS = frozenset({"id", "name", "source", "pin_source"})


class _Reader:
    """Checks one board file, collecting every problem."""

    def __init__(self, path: Path, data: Mapping[str, Any]) -> None:
        self.path = path
        self.data = data
        self.problems: list[str] = []

    def board(self) -> Board:
        if self.data.get("format") != 1:
            self.problems.append("`format` must be 1")
        self._refuse_unknown("", self.data, set(_TABLES))
        head, limits = self._table("board"), self._table("limits")
        ports = self._ports()
        groups, notes = self._groups(ports), self._notes(ports)
        if self.problems:
            raise BoardFileError(self.path, self.problems)
        limits = {"pin_limit": limits.pop("pin"), "board_limit": limits.pop("board"), **limits}
        pins = tuple(ports)
        return Board(**head, **limits, pins=pins, ports=ports, groups=groups, notes=notes)

    def _refuse_unknown(self, where: str, table: Mapping[str, Any], known: set[str]) -> None:
        self.problems += [
            f"`{where}{key}` is no key of a board file" for key in sorted(table) if key not in known
        ]

    def _table(self, name: str) -> dict[str, Any]:
        table = self._mapping(self.data, name)
        keys = _KEYS[name]
        self._refuse_unknown(f"{name}.", table, set(keys))
        for key, needed in keys.items():
            if key in table:
                self._check_value(f"{name}.{key}", key, table[key])
            elif needed:
                self.problems.append(f"`{name}.{key}` is missing")
        return {key: value for key, value in table.items() if key in keys}

    def _mapping(self, data: Mapping[str, Any], name: str) -> dict[str, Any]:
        table = data.get(name, {})
        if isinstance(table, dict):
            return table
        self.problems.append(f"`{name}` must be a table")
        return {}

    def _check_value(self, where: str, key: str, value: object) -> None:
        if key in _TEXTS:
            if not _is_words(value):
                self.problems.append(f"`{where}` must be words")
        elif not _is_amount(value):
            self.problems.append(f"`{where}` must be a number above zero")

    def _ports(self) -> dict[str, str]:
        ports = self._mapping(self.data, "pins")
        if not ports:
            self.problems.append("`pins` must name at least one pin")
        for pin, port in ports.items():
            if not _is_words(pin) or not _is_words(port):
                self.problems.append(f"`pins.{pin}` must be words, such as the chip's port bit")
        return ports

    def _notes(self, ports: Mapping[str, str]) -> dict[str, str]:
        notes = self._mapping(self.data, "notes")
        for pin, words in notes.items():
            if pin not in ports:
                self.problems.append(f"`notes` names a pin that `pins` lacks: {pin}")
            elif not _is_words(words):
                self.problems.append(f"`notes.{pin}` must be words")
        return notes

    def _groups(self, ports: Mapping[str, str]) -> tuple[Group, ...]:
        found = []
        for name, table in self._mapping(self.data, "groups").items():
            pins = table.get("pins") if isinstance(table, dict) else None
            if not isinstance(pins, list) or not _is_amount(table.get("limit")):
                self.problems.append(f"`groups.{name}` needs a `limit` in mA and a list of `pins`")
                continue
            for pin in pins:
                if pin not in ports:
                    self.problems.append(f"`groups.{name}` names a pin that `pins` lacks: {pin}")
            found.append(Group(name, float(table["limit"]), tuple(str(pin) for pin in pins)))
        return tuple(found)


MOST_LETTERS = 200


def _is_words(value: object) -> bool:
    """Whether a value is text that is safe to print: not empty, no marks that steer a terminal."""
    return isinstance(value, str) and 0 < len(value.strip()) <= MOST_LETTERS and value.isprintable()


def _is_amount(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and 0 < value < 1e6
