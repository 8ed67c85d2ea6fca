"""Find anything by its name: commands, controls, actions, profiles, devices, sheets, findings."""

from collections.abc import Awaitable, Callable, Iterator, Sequence
from functools import partial
from typing import NamedTuple

from textual.dom import DOMNode

from profiles.sheets.requests import SHEETS
from profiles.text.prose import join_words
from profiles.tui.dialogs import Choice, Choose, Picked
from profiles.tui.findings_pane import SIGNS, key_of_finding
from profiles.tui.frame import Pane, ScreenApp, start_work
from profiles.tui.help import palette_entries
from profiles.tui.making import list_files
from profiles.tui.panel import name_facts
from profiles.work.edits import Slot, bind


class Entry(NamedTuple):
    """One thing to find: its heading, the names it is found by, its line, what choosing it does."""

    section: str
    names: tuple[str, ...]
    line: str
    act: Callable[[], Awaitable[object] | object]


def open_palette(app: ScreenApp, pane: Pane | None) -> None:
    """Ask for anything by its name and go there or do it."""
    _offer(app, "Find anything by its name", list(find_entries(app, pane)))


def open_menu(app: ScreenApp, node: DOMNode, title: str) -> None:
    """Ask what to do of all that a view or a box can do."""
    commands = palette_entries(app, node, only_here=True)
    entries = [Entry("", (name,), f"{name}: {words}", call) for name, words, call in commands]
    _offer(app, f"{title}: what can be done", entries)


def _offer(app: ScreenApp, title: str, entries: Sequence[Entry]) -> None:
    choices = [
        Choice(str(place), one.names, one.line, one.section) for place, one in enumerate(entries)
    ]

    def take(picked: Picked) -> None:
        act = entries[int(picked.id)].act

        async def do() -> None:
            done = act()
            if isinstance(done, Awaitable):
                await done

        start_work(app, do, group="found", exclusive=False)

    hint = "Type any part of a name. Enter or a second click goes there or does it."
    app.ask(Choose(title, choices, hint=hint), take)


def find_entries(app: ScreenApp, pane: Pane | None) -> Iterator[Entry]:
    """Everything that can be found now, heading by heading."""
    for title, words, call in palette_entries(app, pane):
        yield Entry("Commands", (title,), f"{title}: {words}", call)
    if pane is None:
        return
    yield from _find_controls(app)
    yield from _find_actions(app)
    session = app.session
    for kind, documents, choose in (
        ("Profiles", session.library.profiles, session.choose_profile),
        ("Devices", session.library.devices, session.choose_device),
    ):
        for id_, document in documents.items():

            def look(choose: Callable[[str], None] = choose, id_: str = id_) -> None:
                choose(id_)
                app.show_all()

            yield Entry(
                kind,
                (document.name, id_),
                session.view.documents.get(id_, f"{document.name} [{id_}]"),
                look,
            )
    for sheet in SHEETS:
        yield Entry("Sheets", (sheet,), sheet, partial(_show_in, app, "sheets", sheet))
    for file in list_files(session):
        line = f"{file.name}: {file.words}"
        yield Entry("Files to write", (file.name, file.words), line, partial(file.ask, app))
    for finding in session.all_findings:
        words = session.describe(finding)
        line = f"{SIGNS[finding.severity]} {words}"
        act = partial(_show_in, app, "findings", key_of_finding(finding))
        yield Entry("Findings", (words, finding.code), line, act)


def _find_controls(app: ScreenApp) -> Iterator[Entry]:
    view = app.session.view
    for key in view.order:
        facts = view.facts.get(key)
        if facts is not None:
            names = (facts.label, key, facts.legend)
            line = f"{facts.badge} {name_facts(app.session, facts)}"
            if facts.legend != facts.label:
                line += f": {facts.legend}"
            yield Entry("Controls", names, line, partial(_show_control, app, key, None))


def _find_actions(app: ScreenApp) -> Iterator[Entry]:
    link = app.session.view.link
    if link is None or link.application is None:
        return
    names, homes = app.session.names, dict[str, list[tuple[str, str, str]]]()
    for bound in link.bound:
        who = bound.acting
        if who.device == app.session.device_id:
            homes.setdefault(bound.action_id, []).append((bound.key, who.control, who.contact))
    for id_, action in link.application.actions.items():
        found = homes.get(id_, [])
        on = (
            f"on {join_words([names.contact(key) for key, *_ in found])}"
            if found
            else "not bound; choose where"
        )
        act = (
            partial(_show_control, app, *found[0][1:])
            if found
            else partial(_place_action, app, id_, action.name)
        )
        yield Entry("Actions", (action.name, id_, action.words), f"{names.action(id_)}, {on}", act)


async def _show_control(app: ScreenApp, control: str, contact: str | None) -> None:
    app.session.select(control, contact)
    await app.action_view("plate")


async def _show_in(app: ScreenApp, view: str, key: str) -> None:
    await app.action_view(view)
    if app.pane is not None:
        app.pane.aim_at(key)


async def _place_action(app: ScreenApp, action: str, name: str) -> None:
    """Ask on which control an action goes that is bound nowhere, and bind it there."""
    await app.action_view("plate")
    session, link = app.session, app.session.binds
    free = {
        str(contact.contact): (facts, contact)
        for facts in session.view.facts.values()
        for contact in facts.contacts
        if not contact.is_used and contact.number is not None
    }
    choices = [
        Choice(key, (facts.label, contact.contact.short), session.names.contact(contact.contact))
        for key, (facts, contact) in free.items()
    ]

    def preview(key: str) -> Callable[[], str]:
        edit = bind(link, Slot((), free[key][1].contact), action)
        return session.judge(edit)

    def take(picked: Picked) -> None:
        app.apply(bind(link, Slot((), free[picked.id][1].contact), action))

    app.ask(Choose(f"Bind {name} to which free control?", choices, preview=preview), take)
