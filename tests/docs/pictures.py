"""The sheets that the manual and README.md show, printed by the program itself.

`python -m tests.docs.pictures docs/pictures` makes them again: those of the example library, and
those of the tutorial's box, which is made as the tutorial says.
"""

import shutil
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.conftest import EXAMPLES
from tests.docs.pages import DOCS, follow, needs_a_box_or_screen, read_steps, run_line

RENEW = "python -m tests.docs.pictures docs/pictures"

PICTURES = {
    "legend": ("harbour", "legend --profile brackwater-bridge --device helm-desk"),
    "drill": ("harbour", "drill --device helm-desk"),
    "tutorial/legend": ("boxes", "legend --profile evening"),
    "tutorial/drill": ("boxes", "drill --device pocket"),
    "tutorial/wiring": ("boxes", "wiring --device pocket"),
}
"""Each picture's name, its library, and what is printed of that."""


def make_pictures() -> dict[str, str]:
    """Every picture as SVG, by its name."""
    steps = read_steps((DOCS / "tutorial.md").read_text(encoding="utf-8"))
    alone = [step for step in steps if not needs_a_box_or_screen(step.text)]
    with TemporaryDirectory() as name:
        folder = Path(name)
        shutil.copytree(EXAMPLES / "harbour", folder / "harbour")
        assert list(follow(alone, folder)) == []
        made = {}
        for picture, (library, words) in PICTURES.items():
            line = f"platebook print {words} --format svg --no-date --replace -o picture.svg"
            code, said = run_line(line, folder / library)
            assert code == 0, said
            made[picture] = (folder / library / "picture.svg").read_text(encoding="utf-8")
        return made


def main() -> None:
    """Write the pictures into the folder that is named."""
    for name, text in make_pictures().items():
        path = Path(sys.argv[1], f"{name}.svg")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
