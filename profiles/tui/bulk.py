"""Many controls at once on the screen: what to do with those that are marked, and its preview."""

from collections.abc import Callable, Sequence
from typing import cast

from profiles.files.toml_edit import EditError
from profiles.model import Device
from profiles.plan.arrange import ALIGNMENTS, LINES, MIRRORINGS, Alignment, Lines, Mirroring
from profiles.plan.layout import LayoutError, read_grid, read_pitch
from profiles.tui.fields import Fields
from profiles.tui.frame import ScreenApp
from profiles.tui.previewing import offer_edit
from profiles.tui.ways import say_here
from profiles.work.arranging import arrange_controls, read_steps
from profiles.work.beginning import AnswerError, Question, pair_names
from profiles.work.bulk import (
    PATHS,
    add_grid,
    duplicate,
    list_parts,
    name_controls,
    number_inputs,
    number_labels,
    order_controls,
    usual_step,
)
from profiles.work.bulk import Path as Way
from profiles.work.edits import Edit

Answers = dict[str, str]


def ask_edit(
    app: ScreenApp, title: str, questions: Sequence[Question], make: Callable[[Answers], Edit]
) -> None:
    """Ask for what an edit takes, refuse what cannot be, and show what it would change."""

    def act(answers: Answers) -> Edit:
        try:
            edit = make(answers)
        except LayoutError as error:
            raise EditError(say_here(f"{error}. {error.remedy}")) from None
        app.session.copy.trial(edit.change)  # refused while the answers can still be corrected
        return edit

    app.ask(Fields(title, questions, act), lambda edit: offer_edit(app, edit))


def _choices(words: Sequence[str], none: str = "") -> tuple[tuple[str, str], ...]:
    listed = tuple((word, word) for word in words)
    return (("", none), *listed) if none else listed


def ask_order(app: ScreenApp, device: Device, controls: Sequence[str]) -> None:
    """Put controls on a grid, in line, evenly apart, mirrored or elsewhere."""
    questions = (
        Question("align", "Straighten rows or columns, or bring fronts to one edge.", "",
                 _choices(ALIGNMENTS, "no")),
        Question("spread", "Equal gaps in each row or column; the outermost stay.", "",
                 _choices(LINES, "no")),
        Question("grid", "Put them on a grid such as 5x4, in the order of reading."),
        Question("pitch", "With a grid or spread: centre to centre, mm, 35 or 35x30."),
        Question("mirror", "About the plate's middle.", "", _choices(MIRRORINGS, "no")),
        Question("shift", "To the right and up, mm, such as 5,-2.5."),
    )  # fmt: skip

    def make(found: Answers) -> Edit:
        given = {key: typed.strip() or None for key, typed in found.items()}
        steps = read_steps(
            given["grid"],
            [cast(Alignment, found["align"])] if found["align"] else [],
            [cast(Lines, found["spread"])] if found["spread"] else [],
            given["pitch"],
            [cast(Mirroring, found["mirror"])] if found["mirror"] else [],
            given["shift"],
        )
        return arrange_controls(device, controls, (), steps)[0]

    ask_edit(app, f"Put {app.in_names(name_controls(controls))} in order", questions, make)


def ask_copies(app: ScreenApp, device: Device, controls: Sequence[str]) -> None:
    """Copy controls in rows and columns."""
    step = usual_step(app.session.library, device, controls)
    questions = (
        Question("places", "How many across, then down, the first counted: 4x1.", "2x1"),
        Question("step", "From one to the next, mm, 35 or 35x30.", f"{step[0]:g}x{step[1]:g}"),
    )

    def make(found: Answers) -> Edit:
        across, down = read_grid(found["places"])
        typed = read_pitch(found["step"]) if found["step"].strip() else step
        return duplicate(device, controls, across, down, typed)

    ask_edit(app, f"Copy {app.in_names(name_controls(controls))}", questions, make)


def ask_grid(app: ScreenApp, device: Device) -> None:
    """Add rows of new controls."""
    library = app.session.library
    parts = list_parts(library, device)
    named = pair_names({key: str(one.get("name", key)) for key, one in parts.items()})
    x, y = device.plate.width / 2, device.plate.height / 2
    questions = (
        Question("grid", "How many in a row, then rows: 5x1.", "5x1"),
        Question("part", "The part of each.", "push-16", named),
        Question("pitch", "Centre to centre, mm; empty: as far as advised."),
        Question("middle", "Where the middle of all goes, mm from the lower left.", f"{x:g},{y:g}"),
        Question("labels", "Paste their labels, one a line; empty: numbers.", is_long=True),
    )

    def make(found: Answers) -> Edit:
        pitch = read_pitch(found["pitch"]) if found["pitch"].strip() else None
        try:
            middle = [float(one) for one in found["middle"].split(",")]
            place = middle[0], middle[1]
        except (ValueError, IndexError):
            raise AnswerError("middle", "Write it in mm, such as 110,60.") from None
        grid = read_grid(found["grid"])
        return add_grid(library, device, found["part"], grid, pitch, place, found["labels"])

    ask_edit(app, f"Add rows of controls to {device.name}", questions, make)


def ask_numbers(app: ScreenApp, device: Device, controls: Sequence[str]) -> None:
    """Number controls along a path: their inputs, or their labels."""
    questions = (
        Question("what", "Input numbers, or the words on the plate.", "inputs",
                 _choices(("inputs", "labels"))),
        Question("path", "In which order.", PATHS[0], _choices(PATHS)),
        Question("first", "The first number.", "1"),
        Question("words", "For labels: words around the number, which goes where # is.", "#"),
    )  # fmt: skip

    def make(found: Answers) -> Edit:
        typed = found["first"].strip()
        if not (typed.isascii() and typed.isdigit() and len(typed) < 6):
            raise AnswerError("first", "Write it as a whole number, such as 1.")
        ordered = order_controls(device, controls, cast(Way, found["path"]))
        if found["what"] == "labels":
            return number_labels(device, ordered, int(typed), found["words"])
        return number_inputs(app.session.library, device, ordered, int(typed))

    ask_edit(app, f"Number {app.in_names(name_controls(controls))}", questions, make)
