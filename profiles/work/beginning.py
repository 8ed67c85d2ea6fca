"""New documents begun in the working copy, and what is still missing for a whole box.

    answers = {one.name: one.first for one in list_questions(copy, "application")}
    document, notes = begin(copy, "application", answers | {"name": "Harbour", "actions": "Horn"})

The questions of each kind are data, for whichever door asks them. Nothing is written before the
working copy is saved.
"""

from collections import Counter
from collections.abc import Mapping
from typing import NamedTuple, cast

from profiles.files.convert import convert_text
from profiles.files.documents import find_format
from profiles.files.faults import FileFaultError
from profiles.files.folder import read_path
from profiles.files.lists import make_id, read_list
from profiles.files.starters import StarterError, StarterKind, check_id, starter
from profiles.files.toml_edit import EditError, set_value
from profiles.model import Library
from profiles.plan.layout import LayoutError, read_grid, read_pitch, read_row, stock_parts
from profiles.plan.wires import Diodes
from profiles.sheets.options import RequestError
from profiles.wiring.boards import list_boards
from profiles.work.contents import choose_path, told
from profiles.work.copy import WorkingCopy
from profiles.work.drift import take_bindings
from profiles.work.starting import Started, start_application, start_device, start_profile

KINDS: dict[StarterKind, str] = {
    "device": "a box: plate, controls and wiring",
    "application": "an application: what it can do, from a pasted list",
    "profile": "a profile: an application on a box",
    "part": "a part that many controls share",
    "board": "a controller board of your own",
}
"""What can be begun, in the order in which a box is made."""


class Question(NamedTuple):
    """One answer that is asked for.

    Where there are `choices` the answer is one of them, by id and in words. An answer `is_long`
    where it has lines. `words` is what people read in place of the name.
    """

    name: str
    help: str
    first: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    is_long: bool = False
    words: str = ""

    @property
    def title(self) -> str:
        """What it is called."""
        return self.words or self.name


class AnswerError(EditError):
    """An answer that cannot be used; `question` is its name, empty where several are meant."""

    def __init__(self, question: str, message: str) -> None:
        super().__init__(message)
        self.question = question


class NextStep(NamedTuple):
    """What a library still lacks for a box with words on it."""

    kind: StarterKind
    words: str


def find_next_step(library: Library, device: str) -> NextStep | None:
    """What comes next on the way to a box with words on it; None where all is there."""
    if not library.devices:
        return NextStep("device", "No box yet: lay one out, from a grid or rows of parts.")
    if not library.applications:
        return NextStep("application", "No application yet: paste the list of what it can do.")
    if device in library.devices and not library.profiles_of(device):
        return NextStep("profile", "No profile binds this box yet: choose its application.")
    return None


NAME = Question("name", "The name people use.")
ID = Question("id", "Letters, digits, - and _; empty: made from the name.")


def list_questions(copy: WorkingCopy, kind: StarterKind, device: str = "") -> tuple[Question, ...]:
    """What is asked to begin a document of a kind; `device` is the one in view."""
    library = copy.library
    applications = _choices(library.applications)
    if kind == "device":
        parts = {key: str(part["name"]) for key, part in stock_parts().items()}
        parts |= {key: part.part.name or key for key, part in library.parts.items()}
        boards = {key: board.board.name for key, board in list_boards(library).items()}
        return (
            NAME,
            ID,
            Question("grid", "Controls in a row, then rows, such as 5x4; empty: give rows.", "5x4"),
            Question(
                "part", "With a grid: the part of each control.", "push-16", pair_names(parts)
            ),
            Question(
                "rows",
                "Instead of a grid: a line for each row from the top, such as 3xpush-16,rotary-7.",
                is_long=True,
            ),
            Question("pitch", "Centre to centre in mm, 35 or 35x30; empty: as far as advised."),
            Question("labels", "Paste the labels, one a line, in reading order.", is_long=True),
            Question("board", "The controller board.", "atmega32u4", pair_names(boards)),
            Question(
                "diodes",
                "A diode at each contact, or only where switches that stay closed need one.",
                "every",
                (("every", "every contact"), ("fewest", "the fewest")),
            ),
            _ask_like(library, kind, "Copy this box instead of laying one out."),
        )
    if kind == "application":
        return (
            NAME,
            ID,
            Question(
                "actions",
                "Paste what it can do, one a line. A heading ends with a colon or begins with #.",
                is_long=True,
            ),
            _ask_like(library, kind, "Copy this application instead."),
        )
    if kind == "profile":
        devices = _choices(library.devices)
        bound = {link.profile.profile.application for link in library.profiles_of(device)}
        fresh = next((one for one, _ in applications if one not in bound), "")
        first = fresh or next((one for one, _ in applications), "")
        in_view = device if device in library.devices else next((one for one, _ in devices), "")
        return (
            NAME._replace(help="The name people use; empty: made from the application's."),
            ID,
            Question("application", "What is bound.", first, applications),
            Question("device", "The box.", in_view, devices),
            _ask_like(
                library,
                kind,
                "Carry bindings over from this profile: by ids, words, groups and places.",
            ),
            Question(
                "settings",
                "Take bindings from the application's own settings file: a path.",
                words="settings file",
            ),
        )
    return NAME, ID, _ask_like(library, kind, f"Copy this {kind} instead.")


def _ask_like(library: Library, kind: StarterKind, help_: str) -> Question:
    known = ("", "none"), *_choices(getattr(library, f"{kind}s"))
    return Question("like", help_, "", known, words="like this one")


def pair_names(names: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    """Things to choose from, for a question: each by its id, and its name; of alike ones the id
    is behind it."""
    often = Counter(name.casefold() for name in names.values())
    return tuple(
        (key, name if often[name.casefold()] == 1 else f"{name} [{key}]")
        for key, name in names.items()
    )


def _choices(known: Mapping[str, object]) -> tuple[tuple[str, str], ...]:
    return pair_names({key: str(getattr(one, "name", key)) for key, one in known.items()})


def begin(
    copy: WorkingCopy, kind: StarterKind, answers: Mapping[str, str]
) -> tuple[str, tuple[str, ...]]:
    """Begin a document from the answers; returns its id, and notes on what could not be had.

    Raises:
        AnswerError: where an answer cannot be used.
        EditError: where the document cannot be begun.
    """
    header = _head(copy.library, kind, answers)
    started = draft(copy, kind, header, answers)
    document, data = header["id"], started.text.encode("utf-8")
    path = choose_path(copy.loaded, kind, f"{document}.toml")
    copy.edit(f"Start {path.name}", lambda files: files.begin(document, path, data))
    return document, started.notes


def _head(library: Library, kind: StarterKind, answers: Mapping[str, str]) -> dict[str, str]:
    """Id and name of a new document; of a profile what it binds too."""
    header = {"id": answers["id"].strip(), "name": answers["name"].strip()}
    if kind == "profile":
        for key, known in (("application", library.applications), ("device", library.devices)):
            if answers[key] not in known:
                raise AnswerError(key, f"The library has no {key} yet; start one first.")
            header[key] = answers[key]
        if not header["name"]:
            names = library.applications[header["application"]], library.devices[header["device"]]
            header["name"] = f"{names[0].name} on {names[1].name}"
    if not header["name"]:
        raise AnswerError("name", "Give a name of at least one letter.")
    header["id"] = header["id"] or make_id(header["name"], library.documents, kind)
    try:
        check_id("id", header["id"])
    except StarterError as error:
        raise AnswerError("id", str(error)) from None
    if header["id"] in library.documents:
        raise AnswerError("id", f"id `{header['id']}` is taken in this library; choose another")
    return header


def draft(
    copy: WorkingCopy, kind: StarterKind, header: Mapping[str, str], answers: Mapping[str, str]
) -> Started:
    """The text of a new document, not begun yet. Raises AnswerError."""
    library, like = copy.library, answers.get("like", "")
    try:
        if kind == "profile":
            return _draft_profile(library, header, answers)
        if like:
            return _draft_copy(copy, kind, like, header)
        if kind == "application":
            return start_application(header, read_list(answers["actions"]))
        if kind == "device":
            return _draft_device(library, header, answers)
        return Started(starter(kind, **header))
    except StarterError as error:
        remedy = getattr(error, "remedy", "")
        question = "actions" if kind == "application" else ""
        raise AnswerError(question, f"{error}. {remedy}" if remedy else str(error)) from None


def _draft_device(
    library: Library, header: Mapping[str, str], answers: Mapping[str, str]
) -> Started:
    typed = [line for line in answers["rows"].splitlines() if line.strip()]
    question = "rows" if typed else "grid"
    try:
        if typed:
            rows = [read_row(line) for line in typed]
        else:
            across, down = read_grid(answers["grid"])
            rows = [[answers["part"]] * across] * down
        question = "pitch"
        pitch = read_pitch(answers["pitch"]) if answers["pitch"].strip() else None
    except LayoutError as error:
        raise AnswerError(question, f"{error}. {error.remedy}") from None
    pasted = read_list(answers["labels"]) if answers["labels"].strip() else None
    diodes = cast(Diodes, answers["diodes"])
    return start_device(library, header, rows, pasted, pitch, answers["board"], diodes)


def _draft_profile(
    library: Library, header: Mapping[str, str], answers: Mapping[str, str]
) -> Started:
    like, file, taken = answers["like"], answers["settings"].strip(), None
    if file:
        application = library.applications[header["application"]]
        device = library.devices[header["device"]]
        try:
            taken = take_bindings(read_path(file), application, device)
        except RequestError as error:
            raise AnswerError("settings", f"{error}. {error.remedy}") from None
        except FileFaultError as error:
            raise AnswerError("settings", f"{error}. {error.remedy}.") from None
    return start_profile(library, header, library.link(like) if like else None, taken)


def _draft_copy(
    copy: WorkingCopy, kind: StarterKind, like: str, header: Mapping[str, str]
) -> Started:
    """A document as it is here under another id, as TOML."""
    path, made = copy.path(like), Started(copy.text(like))
    if find_format(path) != "toml":
        with told(path):
            converted = convert_text(path, made.text, "toml")
        made = Started(converted.text, converted.notes)
    text = made.text
    for key, value in header.items():
        text = set_value(text, (kind, key), value)
    return made._replace(text=text)
