"""Libraries from short TOML, and what the checks say of them.

`library` takes documents as TOML text and fills in the headers that a test does not care about;
`find` runs the checks and keeps the findings of one code.
"""

import tomllib
from typing import Any

from profiles.checks.registry import Result, run_checks
from profiles.model import (
    Application,
    Board,
    Device,
    Finding,
    Library,
    LibraryDocument,
    Profile,
    Settings,
)

CONTROL = {"label": "", "position": [10.0, 10.0], "hole": 6.0}

DEVICE = """
[device]
id = "desk"
name = "Desk"
[plate]
width = 400.0
height = 300.0
"""

APPLICATION = """
[application]
id = "harbour"
name = "Harbour"
"""

PROFILE = """
[profile]
id = "play"
application = "harbour"
device = "desk"
"""


def device(text: str, base: str = DEVICE) -> Device:
    """A device from its controls and wiring; each control gets a place and label of its own."""
    document = _merge(tomllib.loads(base), tomllib.loads(text))
    for place, (key, control) in enumerate(document.setdefault("controls", {}).items()):
        x, y = 30.0 + 60.0 * (place % 6), 30.0 + 60.0 * (place // 6)
        for name, value in {**CONTROL, "label": key, "position": [x, y]}.items():
            control.setdefault(name, value)
        control.setdefault("kind", "momentary")
    return Device.model_validate({"format": 1, **document})


def application(text: str, base: str = APPLICATION) -> Application:
    """An application from its actions; each action is named by its id."""
    document = _merge(tomllib.loads(base), tomllib.loads(text))
    for key, action in document.setdefault("actions", {}).items():
        action.setdefault("name", key)
    return Application.model_validate({"format": 1, **document})


def profile(text: str, base: str = PROFILE) -> Profile:
    """A profile from its bindings."""
    return Profile.model_validate({"format": 1, **_merge(tomllib.loads(base), tomllib.loads(text))})


def board(board_id: str, pins: dict[str, str], **changes: Any) -> Board:
    """A controller board of 5 V with these pins: printed name to the chip's name."""
    content: dict[str, Any] = {
        "format": 1,
        "board": {"id": board_id, "name": board_id.title(), "supply": 5.0},
        "limits": {"pin": 20.0, "board": 100.0, "source": "its sheet"},
        "pins": pins,
    }
    return Board.model_validate({**content, **changes})


def settings(text: str) -> Settings:
    """The settings file."""
    return Settings.model_validate({"format": 1, **tomllib.loads(text)})


def library(*documents: LibraryDocument, settings: Settings | None = None) -> Library:
    """A library of these documents."""
    return Library.of(documents, settings)


def check(*documents: LibraryDocument, settings: Settings | None = None) -> Result:
    """What all checks say of these documents."""
    return run_checks(library(*documents, settings=settings))


def find(code: str, *documents: LibraryDocument) -> list[Finding]:
    """The findings of one code in these documents."""
    return [one for one in check(*documents).findings if one.code == code]


def told(code: str, *documents: LibraryDocument) -> list[tuple[str, str, str]]:
    """Message, remedy and subject of the findings of one code."""
    return [(one.message, one.remedy, one.subject) for one in find(code, *documents)]


def codes(*documents: LibraryDocument) -> set[str]:
    """Every code found in these documents."""
    return {one.code for one in check(*documents).findings}


def _merge(base: dict[str, Any], over: dict[str, Any]) -> dict[str, Any]:
    """Tables of `over` laid over those of `base`, key by key."""
    for key, value in over.items():
        if isinstance(value, dict) and isinstance(base.get(key), dict):
            _merge(base[key], value)
        else:
            base[key] = value
    return base
