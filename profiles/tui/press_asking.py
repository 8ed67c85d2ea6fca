"""What the Press view asks: how to begin, which box, which recording, where the report goes."""

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from profiles.files.folder import read_path
from profiles.live.events import FoundBox
from profiles.live.plan import plan_test
from profiles.text.inert import escape_controls
from profiles.text.prose import count
from profiles.tui.dialogs import Ask, Choice, Choose, Decide, Picked
from profiles.tui.frame import ScreenApp
from profiles.work.press import TestOptions
from profiles.work.press_boxes import describe_box
from profiles.work.press_report import form_of
from profiles.work.recordings import FoundRecording


def ask_options(
    app: ScreenApp,
    folder: Path,
    ways: Mapping[str, TestOptions],
    choose: Callable[[TestOptions], None],
) -> None:
    """Ask which way to begin a test, each with its key."""

    def take(way: str | None) -> None:
        if way is not None:
            choose(ways[way])

    told = {}
    for key, options in ways.items():
        if options.resumed is not None:
            done = count(len(options.resumed.observations), "step")
            told[key] = f"resume {escape_controls(options.path.name)}, {done} done"
            continue
        steps = count(len(plan_test(options.device, options.depth)), "step")
        full = "full: also several at once, which tries every diode"
        if options.patience:
            full = "hands-free: full, no keys, then it asks what decides"
        depth = full if options.depth == "full" else "short: every contact once"
        told[key] = f"start, {depth}; {steps}"
    device = next(iter(ways.values())).device
    lines = [f"What is heard is recorded at once, in {escape_controls(str(folder))}"]
    app.push_screen(Decide(f"Press test of {device.name}", lines, told), take)


def ask_box(
    app: ScreenApp,
    device: str,
    boxes: tuple[FoundBox, ...],
    choose: Callable[[FoundBox | None], None],
) -> None:
    """Ask which of several boxes is meant; None where the question is left."""

    def take(picked: Picked | None) -> None:
        choose(None if picked is None else boxes[int(picked.id)])

    choices = [
        Choice(str(at), (box.name, box.serial), f"{at + 1}: {describe_box(box)}")
        for at, box in enumerate(boxes)
    ]
    title = f"{count(len(boxes), 'box', 'boxes')} may be {device}. Which one?"
    app.push_screen(Choose(title, choices), take)


def ask_recording(
    app: ScreenApp, known: Sequence[FoundRecording], first: str, choose: Callable[[Path], None]
) -> None:
    """Choose one of the recordings there are; or give the path of another."""
    if not known:
        _ask_path(app, first, choose)
        return
    choices = [
        Choice(
            str(at),
            (one.path.name, one.started),
            f"{one.started or 'no date'}  {one.path.parent.name}/{one.path.name}",
        )
        for at, one in enumerate(known)
    ]
    choices.append(Choice("", ("another file",), "another file: type its path"))

    def take(picked: Picked | None) -> None:
        if picked is not None and picked.id:
            choose(known[int(picked.id)].path)
        elif picked is not None:
            _ask_path(app, first, choose)

    app.push_screen(Choose("Replay which recording? The last is first.", choices), take)


def _ask_path(app: ScreenApp, first: str, choose: Callable[[Path], None]) -> None:
    """Ask for the path of a recording."""

    def check(found: dict[str, str]) -> str | None:
        is_file = path_of(found["recording"]).is_file()
        return None if is_file else "There is no such file; write the path of a .jsonl recording."

    def take(found: dict[str, str] | None) -> None:
        if found is not None:
            choose(path_of(found["recording"]))

    app.push_screen(Ask("Replay which recording?", {"recording": first}, check=check), take)


def ask_report(app: ScreenApp, first: Path, choose: Callable[[Path, str], None]) -> None:
    """Ask where the report goes and who tested."""

    def check(found: dict[str, str]) -> str | None:
        form = form_of(path_of(found["file"]))
        return None if form else "End the name with .pdf, .html or .csv."

    def take(found: dict[str, str] | None) -> None:
        if found is not None:
            choose(path_of(found["file"]), found["tested by"])

    hint = ".pdf to print, .html to read, .csv for a table. Enter writes, Tab goes to the next."
    fields = {"file": str(first), "tested by": ""}
    app.push_screen(Ask("Write the report", fields, hint=hint, check=check), take)


def path_of(typed: str) -> Path:
    """The path that was typed."""
    return read_path(typed.strip())
