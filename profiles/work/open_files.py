"""The files that one change works on: opened, given another id, ended."""

from collections.abc import Callable
from pathlib import Path

from profiles.files.edit import FileEditor
from profiles.files.toml_edit import EditError
from profiles.text.inert import escape_controls, file_name
from profiles.work.contents import told


class OpenFiles:
    """Gives the editor of a document by its id, one for each; nothing is changed by that alone."""

    def __init__(self, read: Callable[[str], tuple[Path, bytes | None]]) -> None:
        self._read = read
        self.editors: dict[str, FileEditor] = {}
        self.begun: dict[str, Path] = {}
        self.ended: list[str] = []

    def __call__(self, document: str) -> FileEditor:
        """The editor of a document. Raises EditError where its file cannot be read."""
        if document not in self.editors:
            path, data = self._read(document)
            if data is None:
                raise EditError(f"`{escape_controls(path.name)}` was deleted on disk")
            editor = FileEditor(path, data)
            with told(path):
                _ = editor.content
            self.editors[document] = editor
        return self.editors[document]

    def begin(self, document: str, path: Path, data: bytes) -> None:
        """Begin a document in a file that is not there yet."""
        self.begun[document] = path
        self.editors[document] = FileEditor(path, data)

    def move(self, document: str, new: str) -> FileEditor:
        """Go on with a document under another id, in a file of that name, form and folder."""
        before = self(document)
        self.end(document)
        self.begin(new, before.path.with_name(f"{file_name(new)}{before.path.suffix}"), before.data)
        return self(new)

    def end(self, document: str) -> None:
        """Let a document be no more, sound or not; saving removes its file."""
        if document not in self.editors and self._read(document)[1] is None:
            raise EditError(f"`{escape_controls(document)}` was deleted on disk")
        self.editors.pop(document, None)
        self.ended.append(document)
