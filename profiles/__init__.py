"""Platebook: describe, check, print and test your own input boxes from plain files.

The names below load on first use, so `import profiles` costs next to nothing.
"""

TYPE_CHECKING = False  # as type checkers read it; importing `typing` would cost 6 ms
if TYPE_CHECKING:
    from profiles.api import Checked as Checked
    from profiles.api import Printed as Printed
    from profiles.api import arrange as arrange
    from profiles.api import check as check
    from profiles.api import compare_settings_file as compare_settings_file
    from profiles.api import find_changes as find_changes
    from profiles.api import finding_pages as finding_pages
    from profiles.api import hand_over as hand_over
    from profiles.api import load as load
    from profiles.api import pack as pack
    from profiles.api import print_all as print_all
    from profiles.api import print_sheet as print_sheet
    from profiles.api import print_sheets as print_sheets
    from profiles.api import unpack as unpack
    from profiles.sheets.options import RequestError as RequestError

__all__ = [
    *("Checked", "Printed", "RequestError"),
    *(
        "arrange",
        "check",
        "compare_settings_file",
        "find_changes",
        "finding_pages",
        "hand_over",
        "load",
        "pack",
        "print_all",
        "print_sheet",
        "print_sheets",
        "unpack",
    ),
]


def __getattr__(name: str) -> object:
    if name in __all__:
        from importlib import import_module

        room = "profiles.sheets.options" if name == "RequestError" else "profiles.api"
        return getattr(import_module(room), name)
    raise AttributeError(f"module 'profiles' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted(__all__)
