"""What the Press view asks: how to begin, which box, which recording, where the report goes."""

from collections.abc import Callable
from pathlib import Path

from profiles.live.boxes import describe_box
from profiles.live.events import Box
from profiles.live.plan import plan_test
from profiles.text.inert import escape_controls
from profiles.text.prose import count
from profiles.tui.dialogs import Ask, Choice, Choose, Decide, Picked
from profiles.tui.frame import ScreenApp
from profiles.tui.press_report import form_of, path_of
from profiles.tui.press_state import Start


def ask_start(app: ScreenApp, starts: tuple[Start, ...], choose: Callable[[Start], None]) -> None:
    """Ask whether to go on with a recording (`g`), or how to start (`s`, `f`)."""
    ways = dict(zip("gsf"[-len(starts) :], starts, strict=True))

    def take(way: str | None) -> None:
        if way is not None:
            choose(ways[way])

    first = starts[0]
    lines = [
        f"What is heard goes at once into a recording in {escape_controls(str(first.path.parent))}"
    ]
    told = {key: _describe_start(one) for key, one in ways.items()}
    app.push_screen(Decide(f"Press test of {first.device.name}", lines, told), take)


def _describe_start(start: Start) -> str:
    """A way to begin, in words."""
    if start.done is not None:
        return f"go on with {escape_controls(start.path.name)}, {count(start.done, 'step')} done"
    steps = count(len(plan_test(start.device, start.depth)), "step")
    if start.depth == "full":
        return f"start, full: also several at once, which tries every diode; {steps}"
    return f"start, short: every contact once; {steps}"


def ask_box(
    app: ScreenApp, device: str, boxes: tuple[Box, ...], choose: Callable[[Box | None], None]
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


def ask_recording(app: ScreenApp, first: str, choose: Callable[[Path], None]) -> None:
    """Ask for the path of a recording."""

    def check(found: dict[str, str]) -> str | None:
        is_file = path_of(found["recording"]).is_file()
        return None if is_file else "There is no such file; write the path of a .jsonl recording."

    def take(found: dict[str, str] | None) -> None:
        if found is not None:
            choose(path_of(found["recording"]))

    app.push_screen(Ask("Replay which recording?", {"recording": first}, check=check), take)


def ask_report(app: ScreenApp, first: Path, choose: Callable[[str, str], None]) -> None:
    """Ask where the report goes and who tested."""

    def check(found: dict[str, str]) -> str | None:
        return None if form_of(found["file"]) else "End the name with .pdf, .html or .csv."

    def take(found: dict[str, str] | None) -> None:
        if found is not None:
            choose(found["file"], found["tested by"])

    hint = ".pdf to print, .html to read, .csv for a table. Enter writes, Tab goes on."
    fields = {"file": str(first), "tested by": ""}
    app.push_screen(Ask("Write the report", fields, hint=hint, check=check), take)
