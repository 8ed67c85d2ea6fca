"""Bundles that are damaged or hostile: nothing of them may land outside the chosen folder.

`python -m tests.fuzz.bundles 5000` tries so many and prints what went wrong.
"""

import io
import json
import stat
import sys
import tempfile
import zipfile
from pathlib import Path
from random import Random

from profiles.files.bundle import Bundle, BundleError, read_bundle, unpack_bundle, write_bundle
from profiles.files.documents import digest_of
from tests.conftest import APPLICATION, DEVICE, PROFILE

FILES = {
    "devices/desk.toml": DEVICE.encode(),
    "applications/harbour.toml": APPLICATION.encode(),
    "profiles/harbour-desk.toml": PROFILE.encode(),
}
SOUND = write_bundle(Bundle(("harbour-desk",), FILES))

NAMES = (
    *("../out.toml", "/out.toml", "devices/../../out.toml", "..\\out.toml", "C:\\out.toml"),
    *("devices//out.toml", "devices/./out.toml", "devices/con.toml", "devices/a.toml/", "devices/"),
    *("devices/.hidden.toml", "devices/a\0.toml", "devices/a.exe", "bundle.json", "a.toml"),
    *("devices/desk.toml", "devices/DESK.toml", "\u202e.toml", "devices/" + 200 * "a" + ".toml"),
    *("devices/a:b.toml", "~/out.toml", "profiles/%2e%2e%2fout.toml", ""),
)
"""By published kinds of attack: CWE-22, CWE-59, CWE-409, CWE-178; Windows device names."""


def make_hostile(random: Random) -> bytes:
    """Return the bytes of an archive that somebody means ill with, its list in order or not."""
    files = dict(FILES)
    extra = random.choice(NAMES)
    data = random.choice([b"x", b"0" * random.choice([10, 3_000_000]), DEVICE.encode()])
    listing = {**files, extra: data} if random.random() < 0.7 else files
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        known = {name: digest_of(one).hex() for name, one in listing.items()}
        text = json.dumps({"format": 1, "profiles": ["harbour-desk"], "files": known})
        archive.writestr("bundle.json", text)
        for name, one in files.items():
            archive.writestr(name, one)
        info = zipfile.ZipInfo("x")
        info.filename = extra
        info.compress_type = zipfile.ZIP_DEFLATED
        kind = random.choice([stat.S_IFREG, stat.S_IFLNK, stat.S_IFDIR, stat.S_IFCHR, 0])
        info.external_attr = (kind | 0o777) << 16
        archive.NameToInfo.clear()  # so that a name may come twice
        archive.writestr(info, random.choice([data, b"/etc/passwd"]))
    return packed.getvalue()


def damage(data: bytes, random: Random) -> bytes:
    """Return bytes with some changed, cut away, doubled or put in."""
    found = bytearray(data)
    for _ in range(random.randint(1, 6)):
        at = random.randrange(len(found) or 1)
        match random.randrange(4):
            case 0:
                found[at : at + 1] = bytes([random.randrange(256)])
            case 1:
                del found[at : at + random.randint(1, 40)]
            case 2:
                found[at:at] = found[at : at + random.randint(1, 40)]
            case _:
                found[at:at] = random.randbytes(random.randint(1, 8))
    return bytes(found)


def try_bundles(count: int, seed: int, root: Path) -> tuple[list[str], int]:
    """Open so many bundles below a folder; return what went wrong, and how many were refused."""
    random = Random(seed)
    problems, refused = [], 0
    for number in range(count):
        data = make_hostile(random) if random.random() < 0.5 else SOUND
        if random.random() < 0.7 or data is SOUND:
            data = damage(data, random)
        inside = root / "inside"
        inside.mkdir()
        try:
            bundle = read_bundle(data)
            unpack_bundle(bundle, inside / "chosen")
        except BundleError:
            refused += 1
        except Exception as error:
            problems.append(f"{number}: {type(error).__name__}: {error}")
        else:
            if dict(bundle.files) != FILES:
                problems.append(f"{number}: took {sorted(bundle.files)}")
        found = [path.relative_to(root).parts[:2] for path in root.rglob("*")]
        if any(parts not in (("inside",), ("inside", "chosen")) for parts in found):
            problems.append(f"{number}: left {found}")
        if any(path.is_symlink() for path in root.rglob("*")):
            problems.append(f"{number}: made a link")
        _clear(root)
    return problems, refused


def _clear(root: Path) -> None:
    for path in sorted(root.rglob("*"), reverse=True):
        path.unlink() if path.is_symlink() or path.is_file() else path.rmdir()


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as scratch:
        wrong, away = try_bundles(int(sys.argv[1]), 1, Path(scratch))
    print(*wrong, f"{len(wrong)} went wrong, {away} of {sys.argv[1]} refused", sep="\n")
