"""What the screen asks: about a clash, leftover work, leaving; which profile, device or action."""

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from profiles.text.inert import escape_controls
from profiles.text.prose import count

if TYPE_CHECKING:
    from profiles.tui.app import PlatebookApp
    from profiles.tui.dialogs import Picked
    from profiles.tui.frame import Pane
    from profiles.tui.recovery import Leftover


def ask_about_clash(app: "PlatebookApp", clashes: Iterable[str]) -> None:
    """A file changed on disk and on the screen: show both and let the user decide."""
    from profiles.tui.dialogs import Decide

    document = next(iter(clashes))
    desk = app.session.desk
    name = escape_controls(desk.path(document).name)
    ways = {
        "k": "keep mine: the next save replaces the file on disk",
        "t": "take theirs: my edits of this file go (undo brings them back)",
        "n": "neither now: ask me again at the next save",
    }

    def take(way: str | None) -> None:
        if way == "k":
            desk.keep_mine(document)
            app.tell(f"Kept. Ctrl+S now replaces {name}.")
        elif way == "t":
            _take_theirs(app, document)
        else:
            app.tell(f"{name} differs on disk; Ctrl+S asks again before anything is replaced.")
        app.after_change()

    lines = desk.difference(document) or ["no line differs"]
    app.push_screen(Decide(f"{name} was changed by someone else", lines, ways), take)


def _take_theirs(app: "PlatebookApp", document: str) -> None:
    from profiles.files.toml_edit import EditError

    try:
        app.session.desk.take_theirs(document)
    except EditError as error:
        app.tell(str(error))
        return
    app.tell("Taken from disk. Ctrl+Z brings your own edits back.")


def offer_leftover(app: "PlatebookApp", leftover: "Leftover") -> None:
    """Offer unsaved work of an earlier time."""
    from profiles.tui.dialogs import Decide
    from profiles.tui.recovery import discard

    ways = {
        "t": "take it up: it becomes unsaved again, nothing is written",
        "l": "leave it for the next time",
        "r": "remove it for good",
    }

    def take(way: str | None) -> None:
        refused: tuple[str, ...] = ()
        if way == "t":
            refused = app.session.desk.restore(leftover.work)
            app.tell(refused[0] if refused else "Unsaved work is back on the screen.")
            app.after_change()
        if way == "r" or (way == "t" and not refused):
            discard(leftover)

    were = "was" if len(leftover.work) == 1 else "were"
    lines = [f"{count(len(leftover.work), 'file')} {were} not saved when the screen ended:"]
    lines += [f"  {one}" for one in leftover.work]
    app.push_screen(Decide("Unsaved work was found", lines, ways), take)


def ask_to_leave(app: "PlatebookApp") -> None:
    """Ask what becomes of unsaved files before the screen ends."""
    from profiles.tui.dialogs import Decide

    ways = {"s": "save, then leave", "w": "leave without saving", "b": "back to the screen"}

    def take(way: str | None) -> None:
        if way == "s":
            app.action_save()
        if way == "w" or (way == "s" and not app.session.desk.dirty):
            app.end()

    lines = [f"  {one}" for one in app.session.desk.dirty]
    app.push_screen(Decide("Not saved yet", lines, ways), take)


def show_differences(app: "PlatebookApp") -> None:
    """Show every unsaved line."""
    from profiles.tui.dialogs import Read

    lines: list[str] = []
    for document in app.session.desk.dirty:
        lines += [document, *app.session.desk.difference(document), ""]
    app.push_screen(Read("Unsaved lines", lines or ["Everything is saved."]))


def choose_profile(app: "PlatebookApp") -> None:
    """Choose the profile that is looked at."""
    known = app.session.library.profiles
    names = {key: one.name for key, one in known.items()}
    _choose(app, "Which profile?", names, app.session.choose_profile)


def choose_device(app: "PlatebookApp") -> None:
    """Choose the device that is looked at."""
    known = app.session.library.devices
    names = {key: one.name for key, one in known.items()}
    _choose(app, "Which device?", names, app.session.choose_device)


def _choose(
    app: "PlatebookApp", title: str, names: dict[str, str], choose: Callable[[str], None]
) -> None:
    from profiles.tui.dialogs import Choice, Choose

    choices = [Choice(key, (name, key), f"{name} [{key}]") for key, name in names.items()]

    def take(picked: "Picked | None") -> None:
        if picked is not None:
            choose(picked.id)
            app.show_all()

    app.push_screen(Choose(title, choices), take)


def find_action(app: "PlatebookApp", pane: "Pane | None") -> None:
    """Find anything that can be done here by typing, and do it."""
    from profiles.tui.dialogs import Choice, Choose
    from profiles.tui.frame import start_work
    from profiles.tui.help import palette_entries

    entries = list(palette_entries(app, pane))
    choices: list[Choice] = [
        Choice(str(place), (title,), f"{title}: {words}")
        for place, (title, words, _) in enumerate(entries)
    ]

    def take(picked: "Picked | None") -> None:
        if picked is not None:
            start_work(app, entries[int(picked.id)][2], group="found", exclusive=False)

    app.push_screen(Choose("What do you want to do?", choices), take)
