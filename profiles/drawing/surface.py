"""What a writer of a format implements, and what it hands back.

A new format is one module: a class with the verbs of `Surface`, a tuple `CANNOT` that declares in
sentences what the format cannot carry, and a function `write_<format>` that replays drawings on
the surface and returns `Written`. Whatever one output lost or replaced is a `Loss`, by name.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Protocol

from profiles.drawing.geometry import Point
from profiles.drawing.paths import Path
from profiles.drawing.shapes import Text
from profiles.drawing.style import Style
from profiles.lettering import Face


class Surface(Protocol):
    """The verbs of a format, called in drawing order; later ink lies over earlier ink."""

    def draw_path(self, path: Path, style: Style) -> None:
        """Draw a path: fill first (a filled path is closed), then its line."""

    def draw_circle(self, centre: Point, diameter: float, style: Style) -> None:
        """Draw a full circle."""

    def draw_text(self, text: Text) -> None:
        """Draw one line of text, as text where the format can."""

    def open_layer(self, name: str) -> None:
        """Begin shapes that belong together; `name` is a short word such as `holes`."""

    def close_layer(self) -> None:
        """End the layer opened last."""

    def open_clip(self, path: Path) -> None:
        """Show what follows only within a closed path."""

    def close_clip(self) -> None:
        """End the clip opened last."""


@dataclass(frozen=True, slots=True, order=True)
class Loss:
    """Something an output does not carry as it was meant."""

    kind: str
    """One word for machines: `letter`, `clip`, `text`, `fill`, `line`."""
    message: str
    """A sentence that names it."""


@dataclass(frozen=True, slots=True)
class Written:
    """The bytes of an output, and what they do not carry."""

    data: bytes
    losses: tuple[Loss, ...] = ()


class FormatError(RuntimeError):
    """A drawing cannot be had in a format; `remedy` is a sentence."""

    remedy = ""


class TooLargeError(FormatError):
    """A drawing would be beyond what one file of its format may take of the machine."""

    def __init__(self, message: str, remedy: str) -> None:
        super().__init__(message)
        self.remedy = remedy


MOST_PAGES = 250
MOST_SHAPES = 100_000
"""Pages of one document, and lines and words on all of them: a thousand take 30 ms."""


def judge_pages(count: int, shapes: int) -> None:
    """Refuse a document of more pages or shapes than it may have, best before they are drawn.

    Raises:
        TooLargeError: with the figure, and the way out.
    """
    if count > MOST_PAGES:
        raise TooLargeError(
            f"a PDF file would have {count} pages, more than {MOST_PAGES}",
            "Choose larger paper, or another format.",
        )
    if shapes > MOST_SHAPES:
        raise TooLargeError(
            f"a PDF file would have {shapes} lines and words, more than {MOST_SHAPES}",
            "Choose another format.",
        )


class ExtraMissingError(FormatError):
    """A format needs a library that is not installed; `remedy` says how this Python gets it."""

    def __init__(self, what: str, *packages: str) -> None:
        from profiles.text.install import pip_command
        from profiles.text.prose import join_words

        named = join_words([f"`{package}`" for package in packages])
        super().__init__(f"{what} needs {named}, which this Python does not have")
        self.remedy = f"Install it: {pip_command(*packages)}"


def missing_letters(face: Face, words: str) -> list[Loss]:
    """Return a loss for each letter of `words` that the face lacks."""
    missing = face.missing(words)
    if not missing:
        return []
    from unicodedata import name

    from profiles.text.inert import escape_controls

    shown, losses = escape_controls(words), []
    for letter in missing:
        code = f"U+{ord(letter):04X} {name(letter, '')}".strip()
        message = f'no letter {code} in {face.name}; "{shown}" shows a mark in its place'
        losses.append(Loss("letter", message))
    return losses


def gather(losses: Iterable[Loss]) -> tuple[Loss, ...]:
    """Return losses in order, each once."""
    return tuple(dict.fromkeys(losses))


def decimal(value: float, digits: int = 4) -> str:
    """Return a plain decimal: no exponent, no idle zeros, never `-0`."""
    text = f"{value:.{digits}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def decimals(values: Sequence[float], digits: int = 4) -> str:
    """Return decimals with spaces between."""
    return " ".join([decimal(value, digits) for value in values])
