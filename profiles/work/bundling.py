"""Bundles of a library's profiles: what goes in, and what a stranger's bundle holds.

A bundle takes each profile with its application, its devices, and the boards and parts of the
library that they name, each file as it is; boards that come with Platebook stay out.
"""

from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

from profiles.files.bundle import (
    LARGEST_BUNDLE,
    LARGEST_RECORDING,
    Bundle,
    BundleError,
    read_bundle,
)
from profiles.files.documents import read_bytes, read_document
from profiles.files.library import LoadedLibrary, load_library
from profiles.live.recording import parse_recording
from profiles.model import Finding
from profiles.model.part import parts_named
from profiles.text.inert import escape_controls, file_name
from profiles.text.prose import list_some
from profiles.work.names import find_named

FOLDERS = {kind: f"{kind}s" for kind in ("device", "application", "profile", "board", "part")}


def gather_bundle(
    loaded: LoadedLibrary, profiles: Sequence[str], recordings: Sequence[Path] = ()
) -> Bundle:
    """Return a bundle of these profiles with all they need, and of recordings.

    Raises:
        RequestError: where there is no such profile.
        BundleError: where a profile names what the library has not, or a recording is none.
        FileFaultError: where a file cannot be read.
        LiveError: where a recording is damaged.
    """
    ids: dict[str, None] = {}
    library = loaded.library
    for word in profiles:
        link = library.link(find_named("profile", word, library.profiles).id)
        if link.application is None or len(link.devices) < len(link.profile.device_ids):
            raise BundleError(
                f"profile `{link.profile.id}` names an application or device that is not there",
                "Fix it first: `platebook check` names what is wrong.",
            )
        ids |= dict.fromkeys((link.profile.id, link.application.id))
        for device in link.devices:
            ids[device.id] = None
            if device.wiring.board in library.boards:
                ids[str(device.wiring.board)] = None
            content = read_document(loaded.sources[device.id].path).content
            own = content.get("parts", {})
            named = [word for *_, word in parts_named(content)]
            ids |= {word: None for word in named if word in library.parts and word not in own}
    files: dict[str, bytes] = {}
    for id_ in ids:
        source = loaded.sources[id_]
        suffix = source.path.suffix.lower()
        files[f"{FOLDERS[source.kind]}/{file_name(id_)}{suffix}"] = read_bytes(source.path)
    for path in recordings:
        name = f"recordings/{file_name(path.stem)}.jsonl"
        if path.suffix.lower() != ".jsonl":
            raise BundleError(
                f"`{escape_controls(path.name)}` is no recording",
                "Name a .jsonl file that a press test has written.",
            )
        if name in files:
            raise BundleError(
                f"two recordings would be `{name}` in the bundle", "Give one of them another name."
            )
        files[name] = read_bytes(path, LARGEST_RECORDING)
        parse_recording(files[name], str(path))
    return Bundle(tuple(dict.fromkeys(profiles)), files)


def open_bundle(path: Path) -> tuple[Bundle, LoadedLibrary, tuple[Finding, ...]]:
    """Read a bundle and the library in it, without writing it anywhere to stay.

    Returned are its files, the library, and the problems in its files.

    Raises:
        BundleError: where it is not as Platebook makes it.
        FileFaultError: where the file cannot be read.
    """
    bundle = read_bundle(read_bytes(path, LARGEST_BUNDLE))
    with TemporaryDirectory(prefix="platebook-") as folder:
        for name, data in bundle.files.items():
            place = Path(folder) / name
            place.parent.mkdir(exist_ok=True)
            place.write_bytes(data)
        loaded = load_library(folder)
    lost = [id_ for id_ in bundle.profiles if id_ not in loaded.library.profiles]
    if lost and not loaded.problems:
        shown = list_some([f"`{escape_controls(id_)}`" for id_ in lost])
        raise BundleError(
            f"the bundle says that it holds {shown}, and does not", "Ask for it again."
        )
    return bundle, loaded, loaded.problems


def refuse_clashes(bundle: LoadedLibrary, own: LoadedLibrary) -> None:
    """Raise a BundleError where the library that it is to be unpacked in has an id of it, too."""
    clashes = [key for key in bundle.library.documents if key in own.library.documents]
    if clashes:
        ids = list_some([f"`{key}`" for key in clashes])
        raise BundleError(
            f"the library has ids of the bundle already: {ids}",
            "Unpack it outside the library; `new profile ID --like PROFILE --of FOLDER` takes "
            "bindings over from there.",
        )
