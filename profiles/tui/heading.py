"""The words of the heading, before anything is checked and after."""

from profiles.text.inert import escape_controls

UNCHECKED = "not checked yet"


def write_heading(*parts: str) -> str:
    """What is unsaved, what was found, and what is looked at, on one line."""
    return f" {' · '.join(map(escape_controls, parts))}"


def tell_unchecked(folder: str) -> tuple[str, str]:
    """That the library in a folder is not checked, in words and in few letters."""
    return f"library {folder}: {UNCHECKED}", f"library: {UNCHECKED}"
