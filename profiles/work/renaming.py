"""A document's id changed with all that names it, or a document deleted, told what it leaves.

    rename_document(library, "helm-desk", "bridge").apply(copy)

Both are one change of the working copy. The file follows: it goes on under the new id.
"""

from collections.abc import Iterator

from profiles.files.toml_edit import EditError
from profiles.model import (
    SETTINGS_NAME,
    Application,
    Board,
    Device,
    Library,
    LibraryDocument,
    Profile,
    kind_of,
)
from profiles.model.binding import BindingKey
from profiles.text.inert import escape_controls
from profiles.text.prose import count
from profiles.work.edits import Edit
from profiles.work.open_files import OpenFiles


def rename_document(library: Library, old: str, new: str) -> Edit:
    """Give a document another id, wherever the library names it.

    Raises:
        EditError: where there is none, or it has that id already.
    """
    value = _find(library, old)
    if new == old:
        raise EditError(f"`{escape_controls(old)}` has this id already")
    named = list(_find_naming(library, value))
    kept = [
        one.id for one in named if isinstance(one, Profile) and one.profile.id is None
    ]  # an id made of the names of others would change too
    accepted = [
        at for at, one in enumerate(library.settings.accept) if _respell(one.subject, old, new)
    ]

    def change(files: OpenFiles) -> None:
        files.move(old, new).set((kind_of(value), "id"), new)
        for one in named:
            editor = files(one.id)
            if one.id in kept:
                editor.set(("profile", "id"), one.id)
            if isinstance(one, Profile):
                _rename_in_profile(files, one, value, new)
            elif isinstance(one, Device):
                _rename_in_device(files, one, value, new)
            else:
                editor.rename(("settings_file", "devices", old), new)
        for at in accepted:
            subject = library.settings.accept[at].subject
            files(SETTINGS_NAME).set(("accept", at, "subject"), _respell(subject, old, new))

    effects = [
        f"`{one.id}` names it by its new id" + ("; its own id is written out" * (one.id in kept))
        for one in named
    ]
    if accepted:
        effects.append(f"{SETTINGS_NAME} has {count(len(accepted), 'accepted finding')} rewritten")
    if isinstance(value, Device):
        effects.append("recordings of this device keep the old id")
    words = f"Change id `{old}` to id `{new}`"
    return Edit(words, change, tuple(effects), moved=(old, new))


def delete_document(library: Library, document: str) -> Edit:
    """Delete a document; its effects are what then leads nowhere.

    Raises:
        EditError: where there is none.
    """
    value = _find(library, document)
    effects = [
        f"`{one.id}` names `{document}`, which then leads nowhere"
        for one in _find_naming(library, value)
    ]
    if isinstance(value, Profile):
        effects.append(f"its {count(len(value.bindings), 'binding')} go with it")
    if isinstance(value, Device):
        effects.append(f"its {count(len(value.controls), 'control')} go with it")
    if isinstance(value, Application):
        effects.append(f"its {count(len(value.actions), 'action')} go with it")
    return Edit(f"Delete `{document}`", lambda files: files.end(document), tuple(effects))


def _find(library: Library, document: str) -> LibraryDocument:
    if document not in library.documents:
        raise EditError(
            f"the library has no document `{escape_controls(document)}` that can be used"
        )
    return library.documents[document]


def _find_naming(library: Library, value: LibraryDocument) -> Iterator[LibraryDocument]:
    """The documents that name another, in the order of the library."""
    for one in library.documents.values():
        match one:
            case Profile() if isinstance(value, Application):
                names = [one.profile.application]
            case Profile() if isinstance(value, Device):
                names = list(one.device_ids)
            case Application() if one.settings_file and isinstance(value, Device):
                names = list(one.settings_file.devices)
            case Device() if one is not value:
                names = [one.wiring.board or "", *one.parts]
            case _:
                names = []
        if value.id in names:
            yield one


def _rename_in_profile(
    files: OpenFiles, profile: Profile, value: LibraryDocument, new: str
) -> None:
    """Write the new id of an application or device into a profile that names it."""
    editor = files(profile.id)
    if isinstance(value, Application):
        editor.set(("profile", "application"), new)
        return
    if profile.profile.devices is None:
        editor.set(("profile", "device"), new)
    else:
        names = [new if one == value.id else one for one in profile.device_ids]
        editor.set(("profile", "devices"), names)
    for key, parsed, _ in profile.entries:
        contacts = [
            one._replace(device=new) if one.device == value.id else one
            for one in (*parsed.held, parsed.acting)
        ]
        after = BindingKey(tuple(contacts[:-1]), contacts[-1])
        if after != parsed:
            editor.rename_binding(key, str(after))


def _rename_in_device(files: OpenFiles, device: Device, value: LibraryDocument, new: str) -> None:
    """Write the new id of a board or part into a device that names it."""
    editor = files(device.id)
    if isinstance(value, Board):
        editor.set(("wiring", "board"), new)
        return
    content = editor.content
    for table in ("controls", "fixtures") if value.id not in content.get("parts", {}) else ():
        for key, fields in content.get(table, {}).items():
            if fields.get("part") == value.id:
                editor.set((table, key, "part"), new)


def _respell(subject: str, old: str, new: str) -> str:
    """The subject of an accepted finding with a document's new id; empty where it is not named.

    A subject is a document, its keys after a colon, and what it is about after a space.
    """
    spot, space, about = subject.rpartition(" ") if " " in subject else (subject, "", "")
    document, colon, keys = spot.partition(":")
    after = f"{new if document == old else document}{colon}{keys}{space}"
    after += new if about == old else about
    return after if after != subject else ""
