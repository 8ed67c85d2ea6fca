"""A folder of files read as one library, with everything that is wrong in it.

`load_library` reads every TOML, YAML and JSON file below a folder, in sorted order, and gives
the model's `Library` of all that could be read, with one finding for each problem. Nothing is
skipped in silence: a file that is not Platebook's is named in `notes`, but for its own schemas.

The text and content of the files are let go once they are read. `LoadedLibrary.locate` reads a
file again when a finding asks for its line, and gives no line when the file has changed since.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any, NamedTuple

from profiles.files.documents import (
    Document,
    decode_text,
    digest_of,
    find_format,
    parse_text,
    read_bytes,
)
from profiles.files.faults import FileFaultError
from profiles.files.folder import NAME_A_FOLDER, NoLibraryError, is_folder
from profiles.files.guess import guess_from_content, guess_from_file
from profiles.files.locator import Locator
from profiles.files.places import Aim, Format
from profiles.files.validate import (
    is_ours,
    is_output,
    names_others_parts,
    salvage_settings,
    validate_content,
    validate_settings,
)
from profiles.files.walk import Excerpts, find_files, refuse_link_out, show_file
from profiles.model import (
    SETTINGS_NAME,
    Finding,
    Library,
    LibraryDocument,
    Place,
    Profile,
    Related,
    Settings,
    Spot,
    Unusable,
    kind_of,
)
from profiles.text.inert import escape_controls

MOST_KNOWN = 256
"""Documents that are known by what their files held; then they are forgotten."""

_KNOWN: dict[tuple[Format, bytes], LibraryDocument] = {}
"""What files described that needed nothing else of their library, by format and digest: who reads
a library again takes apart only what changed."""

WITHOUT_LINE = ("too-deep", "too-large", "more-problems")
"""Codes about a whole file, or one too deep to be scanned for places."""


class Source(NamedTuple):
    """A file that was read: where it is, what it holds, how to know it unchanged.

    `shown` is the path as findings name it; `kind` is a word of `validate.KINDS`, or
    `settings`.
    """

    path: Path
    shown: str
    format: Format
    digest: bytes
    kind: str
    id: str


@dataclass(frozen=True)
class LoadedLibrary:
    """A library with the files it came from and the problems in them.

    `sources` goes by document id, and by `platebook.toml` for the settings; `paths` by the path
    as findings name it, and holds every file that was looked at.
    """

    folder: Path
    library: Library
    sources: Mapping[str, Source]
    problems: tuple[Finding, ...]
    notes: tuple[str, ...]
    paths: Mapping[str, Path]
    _locators: dict[str, Locator | None] = field(default_factory=dict, repr=False, compare=False)

    def locate(self, spot: Spot, aim: Aim = "entry") -> Place | None:
        """Return the file, line and column of a spot; None where its document is not known.

        A key that is not there gives its nearest parent's line. There is no line for the
        document itself, nor when the file has changed since it was read.
        """
        source = self.sources.get(spot.document)
        if source is None:
            return None
        if source.id not in self._locators:
            self._locators[source.id] = _make_locator(source)
        locator = self._locators[source.id]
        region = locator.locate(spot.path, aim) if locator else None
        return Place(source.shown, *region) if region else Place(source.shown)

    def path_of(self, finding: Finding) -> Path | None:
        """The file of a finding that tells its place."""
        return self.paths.get(finding.place.file) if finding.place else None

    def name_of(self, problem: Finding) -> str:
        """By what the file of a problem is known: the id in it, its path where another has that."""
        source, path = self.sources.get(problem.spot.document), self.path_of(problem)
        is_other = source is not None and problem.place is not None and path != source.path
        return problem.place.file if is_other and problem.place else problem.spot.document

    @cached_property
    def excerpt(self) -> Excerpts:
        """Gives the line of a place as it stands in its file."""
        return Excerpts(self.paths)

    def located(self, finding: Finding) -> Finding:
        """Return a finding with its own place and those of its related spots filled in."""
        related = tuple(
            relation if relation.place else relation._replace(place=self.locate(relation.spot))
            for relation in finding.related
        )
        place = finding.place or self.locate(finding.spot)
        return finding._replace(place=place, related=related)


def _make_locator(source: Source) -> Locator | None:
    try:
        data = read_bytes(source.path)
        return (
            Locator(decode_text(data), source.format) if digest_of(data) == source.digest else None
        )
    except FileFaultError:
        return None


def load_library(folder: Path | str) -> LoadedLibrary:
    """Read all files below a folder.

    Raises:
        NoLibraryError: where `folder` is no folder.
    """
    root = Path(folder)
    if not is_folder(root):
        raise NoLibraryError(f"`{escape_controls(str(root))}` is no folder; {NAME_A_FOLDER}")
    return _Loader(root).load()


class _Loader:
    """Collects documents, problems and notes of one folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.models: list[LibraryDocument] = []
        self.settings: Settings | None = None
        self.sources: dict[str, Source] = {}
        self.first: dict[str, Source] = {}  # by ids in small letters
        self.problems: list[Finding] = []
        self.notes: list[str] = []
        self.paths: dict[str, Path] = {}
        self.texts: dict[str, str] = {}
        self.unusable: list[Unusable] = []
        self.waiting: list[Document] = []

    def load(self) -> LoadedLibrary:
        for path in find_files(self.folder):
            self.paths[show_file(path)] = path
            try:
                self._take_file(path)
            except FileFaultError as fault:
                self._report(path, None, [fault], guess_from_file(path))
                if path == self.folder / SETTINGS_NAME:
                    self.notes.append(
                        f"{escape_controls(show_file(path))}: cannot be read, so default "
                        "severities hold and nothing is accepted"
                    )
        shelf = Library.of(self.models, None, tuple(self.unusable))
        for document in self.waiting:
            self._take(document, shelf)
        places = {shown: place for place, shown in enumerate(self.paths)}
        self.models.sort(key=lambda value: places[self.sources[value.id].shown])
        return LoadedLibrary(
            self.folder,
            Library.of(self.models, self.settings, tuple(self.unusable)),
            self.sources,
            tuple(self.problems),
            tuple(self.notes),
            self.paths,
        )

    def _take_file(self, path: Path) -> None:
        name = escape_controls(path.name)
        refuse_link_out(path, self.folder)
        if is_folder(path):
            words = f"folder `{name}` may not be listed or entered"
            remedy = "Allow yourself to read and enter the folder"
            raise FileFaultError("unreadable-file", words, remedy)
        is_settings, shown = path.name == SETTINGS_NAME, show_file(path)
        file_format = find_format(path)
        data = read_bytes(path)
        digest = digest_of(data)
        known = None if is_settings else _KNOWN.get((file_format, digest))
        if known is not None:
            self._put(path, file_format, digest, known)
            return
        document = Document(path, file_format, parse_text(decode_text(data), file_format), digest)
        if is_output(document.content):
            return
        if is_settings and path != self.folder / SETTINGS_NAME:
            self.notes.append(
                f"{escape_controls(shown)}: settings are read at the top of the library only"
            )
            return
        if not is_settings and not is_ours(document.content):
            self.notes.append(
                f"{escape_controls(shown)}: not read, no `format` and no table of ours"
            )
        elif names_others_parts(document.content):
            self.waiting.append(document)
        else:
            self._take(document)

    def _take(self, document: Document, shelf: Library | None = None) -> None:
        """Take the content of a file; a device has parts of the shelf besides its own."""
        path, is_settings = document.path, document.path.name == SETTINGS_NAME
        value: LibraryDocument | None = None
        try:
            if is_settings:
                self.settings = validate_settings(document.content)
            else:
                value = validate_content(document.content, self.texts, shelf)
        except ExceptionGroup as group:
            locator = Locator(decode_text(read_bytes(path)), document.format)
            self._report(path, locator, group.exceptions, guess_from_content(document))
            if is_settings:
                self.settings = salvage_settings(document.content)
            return
        if value is not None and shelf is None:
            if len(_KNOWN) >= MOST_KNOWN:
                _KNOWN.clear()
            _KNOWN[document.format, document.digest] = value
        self._put(path, document.format, document.digest, value)

    def _put(
        self, path: Path, file_format: Format, digest: bytes, value: LibraryDocument | None
    ) -> None:
        """Put what a file describes into the library; None are the settings."""
        kind, name = ("settings", SETTINGS_NAME) if value is None else (kind_of(value), value.id)
        source = Source(path, show_file(path), file_format, digest, kind, name)
        first = self.first.setdefault(name.casefold(), source)
        if value is None or first is source:
            self.sources[name] = source
            if value is not None:
                self.models.append(value)
        else:
            self._report_repeated_id(value, source, first)

    def _report_repeated_id(self, value: LibraryDocument, source: Source, first: Source) -> None:
        self.unusable.append(Unusable(source.kind, value.id))
        named_by_application = isinstance(value, Profile) and value.profile.id is None
        path = ("profile", "application") if named_by_application else (source.kind, "id")
        here = _make_locator(source)
        region = here.locate(path) if here else None
        other = LoadedLibrary(self.folder, Library(), {first.id: first}, (), (), {})
        spot = Spot(first.id, (first.kind, "id"))
        fault = f"id `{value.id}` is given twice in the library"
        if value.id != first.id:
            fault = (
                f"ids `{value.id}` and `{first.id}` differ by capitals alone, so on Windows and "
                "macOS their sheets would have one file name"
            )
        self.problems.append(
            Finding(
                "repeated-id",
                "error",
                fault,
                "Give each document of the library an id of its own",
                Spot(source.id, path),
                (Related("first given here", spot, other.locate(spot)),),
                Place(source.shown, *region) if region else Place(source.shown),
            )
        )

    def _report(
        self, path: Path, locator: Locator | None, faults: Sequence[Any], unusable: Unusable
    ) -> None:
        """Tell the faults of a file, whose document stays known as far as it can be."""
        shown = show_file(path)
        document = unusable.id if locator and unusable.kind and unusable.id else shown
        if path != self.folder / SETTINGS_NAME:
            self.unusable.append(unusable)
        found = []
        for fault in faults:
            region = fault.region
            if region is None and locator is not None and fault.code not in WITHOUT_LINE:
                region = locator.locate(fault.path, fault.aim)
            place = Place(shown, *region) if region else Place(shown)
            spot = Spot(document, fault.path)
            finding = Finding(fault.code, "error", fault.message, fault.remedy, spot, place=place)
            found.append((place.line or 0, place.column or 0, finding))
        self.problems.extend(finding for *_, finding in sorted(found, key=lambda item: item[:2]))
