"""A bundle: one archive that carries profiles with all they need, to give away and to take in.

It is a zip archive of library files, each by its kind and id, and of recordings, with `bundle.json`
that lists every file with a digest. A bundle comes from a stranger: `read_bundle` takes nothing
that the list does not have, no name but of the few forms below, no link, no folder, no bytes beyond
the bounds, and gives the files in memory; `unpack_bundle` puts them into a folder of their own that
was not there before, and leaves nothing behind where that fails.
"""

import io
import json
import lzma
import os
import re
import stat
import struct
import zipfile
import zlib
from collections.abc import Mapping
from pathlib import Path
from typing import NamedTuple

from profiles.files.documents import digest_of
from profiles.files.folder import explain_unmade
from profiles.files.limits import LARGEST
from profiles.files.save import hidden_folder, remove_folders
from profiles.text.inert import RESERVED_STEMS, escape_controls

CONTENTS = "bundle.json"
"""The list of a bundle's files."""

MOST_FILES = 500
LARGEST_RECORDING = 16 * 1024 * 1024
LARGEST_BUNDLE = 32 * 1024 * 1024
"""Bytes of the archive itself."""
LARGEST_WHOLE = 64 * 1024 * 1024
"""Bytes of all files together."""

_NAME = re.compile(
    r"(?:(?:devices|applications|profiles|boards|parts)/[A-Za-z0-9_][A-Za-z0-9_-]{0,99}"
    r"\.(?:toml|yaml|yml|json)|recordings/[A-Za-z0-9_][A-Za-z0-9_-]{0,99}\.jsonl|bundle\.json)"
)
_START = (1980, 1, 1, 0, 0, 0)
"""The earliest time an archive can hold, so that the same files give the same bytes."""

_BROKEN = (
    *(zipfile.BadZipFile, zlib.error, lzma.LZMAError, struct.error, EOFError, OSError),
    *(NotImplementedError, RuntimeError, ValueError, KeyError, IndexError, OverflowError),
)
"""What `zipfile` raises on archives that are not as they should be."""


class BundleError(Exception):
    """A bundle that is not taken, or not written; `remedy` is a sentence."""

    def __init__(self, message: str, remedy: str = "") -> None:
        super().__init__(message)
        self.remedy = remedy


class Bundle(NamedTuple):
    """A bundle as read: the ids of its profiles, and its files by name."""

    profiles: tuple[str, ...]
    files: Mapping[str, bytes]


def write_bundle(bundle: Bundle) -> bytes:
    """Return the bytes of an archive; the same files always give the same.

    Raises:
        BundleError: where a name or size is none that a reader would take.
    """
    for name, data in bundle.files.items():
        _refuse_name(name)
        if len(data) > _limit(name):
            raise BundleError(f"`{escape_controls(name)}` is too large for a bundle")
    listing = {
        "format": 1,
        "profiles": list(bundle.profiles),
        "files": {name: digest_of(data).hex() for name, data in sorted(bundle.files.items())},
    }
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        text = json.dumps(listing, indent=2).encode("ascii")
        for name, data in {CONTENTS: text, **dict(sorted(bundle.files.items()))}.items():
            info = zipfile.ZipInfo(name, _START)
            info.compress_type = zipfile.ZIP_DEFLATED
            info.external_attr = (stat.S_IFREG | 0o644) << 16
            archive.writestr(info, data)
    return packed.getvalue()


def read_bundle(data: bytes) -> Bundle:
    """Return the files of an archive, each held against its bounds and its digest.

    Raises:
        BundleError: where anything in it is not as `write_bundle` makes it.
    """
    if len(data) > LARGEST_BUNDLE:
        raise BundleError(f"a bundle has at most {LARGEST_BUNDLE // 1024 // 1024} MB")
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            found = _read_members(archive)
    except _BROKEN:
        raise BundleError("the file is no bundle, or it is damaged", "Ask for it again.") from None
    try:
        listing = json.loads(found.pop(CONTENTS, b""))
        profiles = tuple(listing["profiles"])
        known = dict(listing["files"])
        is_ours = listing["format"] == 1 and all(isinstance(profile, str) for profile in profiles)
    except (ValueError, KeyError, TypeError, RecursionError):
        raise BundleError("the bundle does not list what is in it", "Ask for it again.") from None
    if not is_ours:
        raise BundleError("the bundle is of another format", "Update Platebook, or ask again.")
    if known != {name: digest_of(one).hex() for name, one in found.items()}:
        raise BundleError("the bundle holds other files than it lists", "Ask for it again.")
    return Bundle(profiles, found)


def _read_members(archive: zipfile.ZipFile) -> dict[str, bytes]:
    members = archive.infolist()
    if len(members) > MOST_FILES:
        raise BundleError(f"a bundle has at most {MOST_FILES} files, not {len(members)}")
    found: dict[str, bytes] = {}
    seen: set[str] = set()
    room = LARGEST_WHOLE
    for member in members:
        name = member.filename
        if name != member.orig_filename:
            raise BundleError("the bundle holds a file under a name that is none")
        _refuse_name(name)
        kind = stat.S_IFMT(member.external_attr >> 16)
        if kind not in (0, stat.S_IFREG):
            raise BundleError(f"`{name}` in the bundle is a link or device, not a file")
        if name.lower() in seen:
            raise BundleError(f"`{name}` is in the bundle twice")
        seen.add(name.lower())
        if member.flag_bits & 1 or member.compress_type not in (
            zipfile.ZIP_STORED,
            zipfile.ZIP_DEFLATED,
        ):
            raise BundleError(f"`{name}` in the bundle is packed in a way that is not read")
        most = min(_limit(name), room)
        with archive.open(member) as file:
            data = file.read(most + 1)
        if len(data) > most:
            raise BundleError(f"`{name}` in the bundle is larger than any real one")
        room -= len(data)
        found[name] = data
    return found


def _limit(name: str) -> int:
    return LARGEST_RECORDING if name.startswith("recordings/") else LARGEST


def _refuse_name(name: str) -> None:
    stem = name.rpartition("/")[2].partition(".")[0].lower()
    if not _NAME.fullmatch(name) or stem in RESERVED_STEMS:
        shown = escape_controls(name)[:80]
        raise BundleError(f"`{shown}` is no name that a file of a bundle may have")


UNPACKING = ".platebook-bundle-"
"""How the hidden folder of a bundle on its way to its place begins."""


def unpack_bundle(bundle: Bundle, folder: Path) -> list[Path]:
    """Write the files into a new folder, all or none, and return where they are.

    Raises:
        BundleError: where the folder is there already, or cannot be made.
    """
    shown = escape_controls(folder.as_posix())
    remove_folders(folder.parent, UNPACKING)
    if os.path.lexists(folder):
        raise BundleError(
            f"`{shown}` is there already, and a bundle is never unpacked over anything",
            "Name a folder that is not there.",
        )
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        with hidden_folder(folder.parent, UNPACKING) as beside:
            inner = beside / "files"
            for name, data in bundle.files.items():
                (inner / name).parent.mkdir(parents=True, exist_ok=True)
                (inner / name).write_bytes(data)
            if os.path.lexists(folder):
                raise BundleError(f"`{shown}` was made meanwhile", "Name another folder.")
            inner.rename(folder)
    except OSError as error:
        raise BundleError(
            f"`{shown}` cannot be written: {explain_unmade(error)}", "Name another folder."
        ) from None
    return [folder / name for name in bundle.files]
