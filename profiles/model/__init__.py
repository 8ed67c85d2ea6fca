"""Frozen values of the trade, and the library that links them.

What each key means, with its unit, is in `keys.toml` beside them.

- `base`: the strict ground and the small types (mm, ms, ids)
- `contact`: how a contact is named
- `control`, `device`: a box, its plate, controls and wiring
- `bank`: what brings many contacts to a few pins
- `hole`: the shapes of holes; `fixture`: what sits in the plate without a function
- `part`: what many controls or fixtures share
- `board`: the pins of a controller board and what they can bear
- `application`: what a program can do and how it counts
- `binding`, `profile`: what each contact does in a title
- `settings`: severities changed, findings accepted
- `library`: all of them together, names resolved

A finding, a spot in a document and a place in a file are in `text.finding`.
"""

from profiles.model.application import Action, Application, contexts_meet
from profiles.model.bank import BankPart, Expander, Ladder, Multiplexer
from profiles.model.binding import BindingKey, BoundAction, ContactName, parse_key
from profiles.model.board import Ability, Board, Firmware
from profiles.model.contact import Contact, DeviceContact
from profiles.model.control import (
    AXIS_NAMES,
    HAT_WAYS,
    Axis,
    Control,
    Hat,
    HatWay,
    Latching,
    Momentary,
    Rotary,
    Selector,
)
from profiles.model.control_value import ControlValue, Led
from profiles.model.device import (
    Device,
    Engraving,
    Plate,
    Report,
    Screw,
    ShiftRegisterChain,
    UsbIdentity,
    Wiring,
)
from profiles.model.fixture import Extra, Fixture
from profiles.model.hole import Countersink, Hole, as_hole
from profiles.model.library import (
    Library,
    LibraryDocument,
    Link,
    ResolvedBinding,
    UnresolvedName,
    Unusable,
    kind_of,
    link_profile,
)
from profiles.model.part import Part, PartValue
from profiles.model.profile import Profile
from profiles.model.settings import SETTINGS_NAME, Acceptance, Settings
from profiles.text.finding import (
    SEVERITIES,
    Finding,
    Page,
    Place,
    Related,
    Severity,
    Spot,
    is_at_least,
)

__all__ = [
    "AXIS_NAMES",
    "HAT_WAYS",
    "SETTINGS_NAME",
    "SEVERITIES",
    "Ability",
    "Acceptance",
    "Action",
    "Application",
    "Axis",
    "BankPart",
    "BindingKey",
    "Board",
    "BoundAction",
    "Contact",
    "ContactName",
    "Control",
    "ControlValue",
    "Countersink",
    "Device",
    "DeviceContact",
    "Engraving",
    "Expander",
    "Extra",
    "Finding",
    "Firmware",
    "Fixture",
    "Hat",
    "HatWay",
    "Hole",
    "Ladder",
    "Latching",
    "Led",
    "Library",
    "LibraryDocument",
    "Link",
    "Momentary",
    "Multiplexer",
    "Page",
    "Part",
    "PartValue",
    "Place",
    "Plate",
    "Profile",
    "Related",
    "Report",
    "ResolvedBinding",
    "Rotary",
    "Screw",
    "Selector",
    "Settings",
    "Severity",
    "ShiftRegisterChain",
    "Spot",
    "UnresolvedName",
    "Unusable",
    "UsbIdentity",
    "Wiring",
    "as_hole",
    "contexts_meet",
    "is_at_least",
    "kind_of",
    "link_profile",
    "parse_key",
]
