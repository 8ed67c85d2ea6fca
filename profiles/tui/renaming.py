"""Documents renamed and deleted on the screen: which one, its new id, and what that means."""

from profiles.tui.dialogs import Choice, Choose
from profiles.tui.fields import Fields
from profiles.tui.frame import ScreenApp
from profiles.tui.previewing import offer_edit
from profiles.work.beginning import AnswerError, Question
from profiles.work.edits import Edit
from profiles.work.forms import list_documents
from profiles.work.renaming import delete_document, rename_document


def choose_to_rename(app: ScreenApp) -> None:
    """Choose a document, type its new id, see what changes."""
    dialog = Choose("Change the id of which document?", _list_choices(app))
    app.ask(dialog, lambda picked: ask_id(app, picked.id))


def ask_id(app: ScreenApp, document: str) -> None:
    """Ask for the new id of a document; what is wrong with it is told where it is typed."""
    copy = app.session.copy

    def act(answers: dict[str, str]) -> Edit:
        new = answers["id"].strip()
        if not new:
            raise AnswerError("id", "Give it an id.")
        edit = rename_document(copy.library, document, new)
        copy.trial(edit.change)
        return edit

    words = "Letters, digits, - and _. Its file gets this name, and all that names it follows."
    question = Question("id", words, document)
    app.ask(
        Fields(f"New id of {app.in_names(f'`{document}`')}", [question], act),
        lambda edit: offer_edit(app, edit),
    )


def choose_to_delete(app: ScreenApp) -> None:
    """Choose a document, see what names it, delete it if you say so."""
    dialog = Choose("Delete which document?", _list_choices(app))

    def take(document: str) -> None:
        offer_edit(app, delete_document(app.session.library, document))

    app.ask(dialog, lambda picked: take(picked.id))


def _list_choices(app: ScreenApp) -> list[Choice]:
    """The documents that have an id, those in view first."""
    session = app.session
    known = list_documents(session.copy, session.in_view)
    return [
        Choice(key, (words, key), f"{words.removesuffix(f' [{key}]')} [{key}]")
        for key, words in known.items()
        if key in session.library.documents
    ]
