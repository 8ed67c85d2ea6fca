"""One typo with a fix of its own: a binding's key split at its dot.

`trim.clockwise = "x"` without quotes is a table in a table to TOML, as is `clockwise:` indented
below `trim:` in YAML. The binding meant is found by its contact, and the two faults that the model
would report are told as one.
"""

from collections.abc import Iterator
from typing import Any

from profiles.files.faults import FileFaultError
from profiles.files.places import KeyPath
from profiles.model.binding import BoundAction
from profiles.text.inert import escape_controls


def find_unquoted(content: dict[str, Any]) -> dict[KeyPath, list[FileFaultError]]:
    """Return the faults of bindings split at their dots, by the path of the part before it."""
    bindings = content.get("bindings")
    if not isinstance(bindings, dict):
        return {}
    return {
        ("bindings", control): list(_explain(control, inner))
        for control, inner in bindings.items()
        if isinstance(inner, dict) and inner and not set(inner) & set(BoundAction.model_fields)
    }


def _explain(control: str, inner: dict[str, Any]) -> Iterator[FileFaultError]:
    for contact in inner:
        key = escape_controls(f"{control}.{contact}")[:80]
        yield FileFaultError(
            "wrong-value",
            f"key `{key}` in `bindings` is split at its dot",
            f'Write it in quotes, as one key: `"{key}"`',
            path=("bindings", control, contact),
            aim="key",
        )
