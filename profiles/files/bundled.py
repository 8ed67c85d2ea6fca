"""Where the files that come with the program lie: the example libraries and the schemas.

An installed program carries them inside the package; a checkout has them at its top.
"""

import shutil
from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent.parent


def find_bundled(name: str) -> Path:
    """The folder of this name that came with the program.

    Raises:
        FileNotFoundError: where the installation lacks it.
    """
    for folder in (_PACKAGE / "_data" / name, _PACKAGE.parent / name):
        if folder.is_dir():
            return folder
    raise FileNotFoundError(name)


def copy_bundled(name: str, target: Path) -> Path:
    """Copy a bundled folder to `target`, which must not be there yet, and return it.

    Raises:
        FileExistsError: where `target` is there.
        OSError: where it cannot be written.
    """
    return Path(shutil.copytree(find_bundled(name), target))
