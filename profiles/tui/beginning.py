"""New documents on the screen: what to start, its questions, and what comes next."""

from profiles.files.starters import StarterKind
from profiles.tui.dialogs import Decide
from profiles.tui.fields import Fields
from profiles.tui.frame import ScreenApp
from profiles.tui.learning import ask_to_learn
from profiles.work.beginning import KINDS, begin, find_next_step, list_questions

WAYS: dict[str, StarterKind] = {
    "b": "device",
    "a": "application",
    "p": "profile",
    "r": "part",
    "c": "board",
}
"""The key of each kind that can be started."""


LEARN = "l"
"""The key of a box without a file that is described by working its controls."""


def offer_new(app: ScreenApp) -> None:
    """Offer to start a document of any kind; what comes next on the way to a box is first."""
    session = app.session
    following = find_next_step(session.library, session.device_id)
    order = sorted(WAYS, key=lambda key: following is None or WAYS[key] != following.kind)
    lines = [following.words if following else "A whole box is here. Start one thing more:"]
    ways = {key: KINDS[WAYS[key]] for key in order} | {
        LEARN: "a box that is plugged in and has no file"
    }

    def take(way: str) -> None:
        if way == LEARN:
            ask_to_learn(app)
        else:
            ask_new(app, WAYS[way])

    app.ask(Decide("Start something new", lines, ways), take)


def ask_new(app: ScreenApp, kind: StarterKind) -> None:
    """Ask what a new document needs, begin it, and look at it."""
    session = app.session

    def act(answers: dict[str, str]) -> tuple[str, tuple[str, ...]]:
        return begin(session.copy, kind, answers)

    def take(begun: tuple[str, tuple[str, ...]]) -> None:
        document, notes = begun
        session.settle()
        if kind == "device":
            session.choose_device(document)
        elif kind == "profile":
            session.choose_profile(document)
        name = session.copy.path(document).name
        app.tell("  ".join([f"Started {name}; Ctrl+S writes it.", *notes]))
        app.after_change()
        following = find_next_step(session.library, session.device_id)
        if following is not None:
            ask_new(app, following.kind)
        elif kind == "application" and session.library.devices:
            ask_new(app, "profile")

    questions = list_questions(session.copy, kind, session.device_id)
    app.ask(Fields(f"Start {KINDS[kind]}", questions, act), take)
