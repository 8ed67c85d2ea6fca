"""Controls that sit in one place of the plate."""

from collections.abc import Iterator
from math import hypot

from profiles.checks.base import Check, report
from profiles.checks.survey import DeviceFacts, Survey
from profiles.model import Finding, Page, Related

SAME_PLACE = 1.0
"""Centres closer than this, in mm, are one place: no two controls can be mounted there."""

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
        yield from _check_device(device)


def _check_device(device: DeviceFacts) -> Iterator[Finding]:
    """Sort by x, so that only neighbours within reach are compared."""
    order = {control: place for place, control in enumerate(device.controls)}
    near: list[str] = []
    for control in sorted(order, key=lambda one: (device.controls[one].position, order[one])):
        x, y = device.controls[control].position
        near = [one for one in near if x - device.controls[one].position[0] < SAME_PLACE]
        for other in near:
            ox, oy = device.controls[other].position
            if hypot(x - ox, y - oy) < SAME_PLACE:
                first, second = sorted((control, other), key=order.__getitem__)
                yield _tell(device, first, second)
                break
        near.append(control)


def _tell(device: DeviceFacts, first: str, second: str) -> Finding:
    return report(
        CONTROLS_SHARE_PLACE,
        f"`{first}` and `{second}` sit in one place",
        f"Move `{second}` or `{first}`",
        device.spot("controls", second, "position"),
        [Related(f"`{first}` sits there", device.spot("controls", first, "position"))],
    )


CHECKS = (Check(check_places, (CONTROLS_SHARE_PLACE,)),)
