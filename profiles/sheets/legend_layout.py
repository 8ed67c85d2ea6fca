"""The place of every label of a plate for its profiles, and what had to give way.

Lines of chords give way first, then whole labels; each is named. `describe_labels` reports the
height used, the height needed and the slack of every label.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from profiles.lettering import BOLD, REGULAR
from profiles.model.device import Device
from profiles.model.library import Link
from profiles.plate.label_requests import Placed, Placement
from profiles.plate.labels import heights, place_legends
from profiles.sheets.legend_labels import (
    Label,
    application_labels,
    fixed_labels,
    styles_of_lines,
)
from profiles.sheets.setting import find_setting_remarks
from profiles.sheets.sheet import Remark

OWN_WORDS = "the plate's own words"
"""What the key calls the fixed labels."""


@dataclass(frozen=True, slots=True)
class LegendLayout:
    """The labels as printed, whose they are, their places, and what they lack."""

    labels: tuple[Label, ...]
    names: tuple[str, ...]
    """Whose words each style of lettering is for."""
    placement: Placement
    remarks: tuple[Remark, ...]

    def styles(self, placed: Placed) -> tuple[int, ...]:
        """The number of the style of each line of a placed label."""
        label = next(label for label in self.labels if label.id == placed.id)
        return styles_of_lines(placed.fit.lines, label.shown_rows())


def lay_out_legend(
    device: Device, links: Sequence[Link], labels: str | None = None
) -> LegendLayout:
    """Place the labels of a device for its profiles.

    `labels` is `application` for what the applications do, `fixed` for the plate's own words, or
    `both`; None for `application` where there is a profile, otherwise `fixed`.
    """
    kind = labels or ("application" if links else "fixed")
    applications = tuple(link.application.name if link.application else "" for link in links)
    own = () if kind == "application" else (OWN_WORDS,)
    names = own if kind == "fixed" else (*own, *applications)
    wanted = list(fixed_labels(device)) if own else []
    if kind != "fixed":
        wanted += application_labels(device, links, len(own))
    lettering = BOLD if len(names) > 1 else REGULAR
    placement = place_legends(device, [label.words() for label in wanted], lettering)
    crowded = {label.id for label in placement.unplaced}
    bare = [label for label in wanted if label.id in crowded and label.chords]
    kept = [label.without_chords() if label in bare else label for label in wanted]
    kept = [label for label in kept if label.rows]
    if bare:
        placement = place_legends(device, [label.words() for label in kept], lettering)
    remarks = tuple(_find_remarks(device, bare, kept, placement))
    return LegendLayout(tuple(kept), names, placement, remarks)


def _find_remarks(
    device: Device, bare: Sequence[Label], kept: Sequence[Label], placement: Placement
) -> Iterator[Remark]:
    """Chords left out, labels without a place, and labels smaller or narrower than wanted."""
    for label in bare:
        for row in label.chords:
            yield Remark("skipped", f"no room for `{row.text}` at `{label.id}`", label.spot)
    spots = {label.id: label.spot for label in kept}
    wanted = heights(device.plate)[0]
    for missing in placement.unplaced:
        message = f"`{_one_line(missing.text)}` at `{missing.id}`: {missing.reason}"
        yield Remark("skipped", message, spots[missing.id])
    for placed in placement.placed:
        name = f"`{_one_line(placed.text)}` at `{placed.id}`"
        yield from find_setting_remarks(name, placed.fit, wanted, spots[placed.id])


def _one_line(text: str) -> str:
    return text.replace("\n", ", ")


def describe_labels(placement: Placement) -> list[dict[str, Any]]:
    """Every label with its place, box and heights in mm, as plain types."""
    found: list[dict[str, Any]] = []
    for label in placement.placed:
        found.append(
            {
                "id": label.id,
                "text": label.text,
                "place": label.place,
                "box": [round(edge, 4) for edge in label.box],
                "lines": list(label.fit.lines),
                "height": round(label.fit.height, 4),
                "needed": round(label.fit.needed, 4),
                "slack": round(label.fit.slack, 4),
                "condense": round(label.fit.condense, 4),
            }
        )
    for missing in placement.unplaced:
        found.append(
            {
                "id": missing.id,
                "text": missing.text,
                "place": None,
                "needed": round(missing.needed, 4),
                "missing": round(missing.missing, 4),
                "reason": missing.reason,
            }
        )
    return found
