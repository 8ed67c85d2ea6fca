"""Controls that sit in one place of the plate."""

from collections.abc import Iterator

from profiles.checks.base import Check, report
from profiles.facts.device import SAME_PLACE, DeviceFacts
from profiles.facts.survey import Survey
from profiles.model import Finding, Page, Related

CONTROLS_SHARE_PLACE = Page(
    code="controls-share-place",
    severity="error",
    title="Two controls sit in one place",
    what=f"The centres of two controls are less than {SAME_PLACE:g} mm apart.",
    why="Only one of them can be mounted. Mostly a copied block whose position was not changed; "
    "the drill sheet would show one hole for two.",
    example="[controls.horn]\nposition = [30.0, 90.0]\n[controls.bell]\nposition = [30.0, 90.0]",
    remedy="Move one of the controls.",
)


def check_places(survey: Survey) -> Iterator[Finding]:
    """Report controls whose centre is that of an earlier one."""
    for device in survey.devices:
        for control, other in device.doubles.items():
            yield _tell(device, other, control)


def _tell(device: DeviceFacts, first: str, second: str) -> Finding:
    return report(
        CONTROLS_SHARE_PLACE,
        f"`{first}` and `{second}` sit in one place",
        f"Move `{second}` or `{first}`",
        device.spot("controls", second, "position"),
        [Related(f"`{first}` sits there", device.spot("controls", first, "position"))],
    )


CHECKS = (Check(check_places, (CONTROLS_SHARE_PLACE,)),)
