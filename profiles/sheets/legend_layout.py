"""Where every label of a plate stands for its profiles, and what had to give way.

Lines of chords give way first, then whole labels; each is told by name. `describe_labels` reports
the height used, the height needed and the slack of every label.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from profiles.lettering import BOLD, REGULAR
from profiles.model.device import Device
from profiles.model.finding import Spot
from profiles.model.library import Link
from profiles.plate.label_requests import Placed, Placement, Unplaced
from profiles.plate.labels import heights, place_legends
from profiles.sheets.legend_labels import Label, fixed_labels, manners_of_lines, title_labels
from profiles.sheets.setting import find_setting_remarks
from profiles.sheets.sheet import Remark

OWN_WORDS = "the plate's own words"
"""What the key calls the fixed labels."""


@dataclass(frozen=True, slots=True)
class LegendLayout:
    """The labels as printed, whose they are, their places, and what they lack."""

    labels: tuple[Label, ...]
    names: tuple[str, ...]
    """Whose words each manner of lettering stands for."""
    placement: Placement
    remarks: tuple[Remark, ...]

    def manners(self, placed: Placed) -> tuple[int, ...]:
        """The manner of each line of a placed label."""
        label = next(one for one in self.labels if one.id == placed.id)
        return manners_of_lines(placed.fit.lines, label.shown_rows())


def lay_out_legend(
    device: Device, links: Sequence[Link], labels: str | None = None
) -> LegendLayout:
    """Place the labels of a device for its profiles.

    `labels` is `application` for what the applications do, `fixed` for the plate's own words, or
    `both`; None for `application` where there is a profile, otherwise `fixed`.
    """
    kind = labels or ("application" if links else "fixed")
    names = tuple(link.application.name if link.application else "" for link in links)
    wanted: list[Label] = []
    if kind in ("fixed", "both"):
        wanted += fixed_labels(device)
    if kind in ("application", "both"):
        wanted += title_labels(device, links, 1 if kind == "both" else 0)
    shown = {"fixed": (OWN_WORDS,), "both": (OWN_WORDS, *names), "application": names}[kind]
    return _place(device, wanted, shown)


def _place(device: Device, wanted: Sequence[Label], names: tuple[str, ...]) -> LegendLayout:
    lettering = BOLD if len(names) > 1 else REGULAR
    placement = place_legends(device, [label.words() for label in wanted], lettering)
    crowded = {one.id for one in placement.unplaced}
    bare = [label for label in wanted if label.id in crowded and label.chords]
    kept = [label.without_chords() if label in bare else label for label in wanted]
    kept = [label for label in kept if label.rows]
    if bare:
        placement = place_legends(device, [label.words() for label in kept], lettering)
    remarks = (*_chord_remarks(bare), *_placement_remarks(device, kept, placement))
    return LegendLayout(tuple(kept), names, placement, remarks)


def _chord_remarks(labels: Iterable[Label]) -> Iterator[Remark]:
    for label in labels:
        for row in label.chords:
            yield Remark("left-out", f"no room for `{row.text}` at `{label.id}`", label.spot)


def _placement_remarks(
    device: Device, labels: Sequence[Label], placement: Placement
) -> Iterator[Remark]:
    spots = {label.id: label.spot for label in labels}
    wanted = heights(device.plate)[0]
    for missing in placement.unplaced:
        yield _left_out(missing, spots[missing.id])
    for placed in placement.placed:
        name = f"`{_one_line(placed.text)}` at `{placed.id}`"
        yield from find_setting_remarks(name, placed.fit, wanted, spots[placed.id])


def _left_out(missing: Unplaced, spot: Spot) -> Remark:
    message = f"`{_one_line(missing.text)}` at `{missing.id}`: {missing.reason}"
    return Remark("left-out", message, spot)


def _one_line(text: str) -> str:
    return text.replace("\n", ", ")


def describe_labels(placement: Placement) -> list[dict[str, Any]]:
    """Every label with its place, box and heights in mm, as plain types."""
    placed = [_describe(one) for one in placement.placed]
    unplaced = [
        {
            "id": one.id,
            "text": one.text,
            "place": None,
            "needed": round(one.needed, 4),
            "missing": round(one.missing, 4),
            "reason": one.reason,
        }
        for one in placement.unplaced
    ]
    return placed + unplaced


def _describe(placed: Placed) -> dict[str, Any]:
    return {
        "id": placed.id,
        "text": placed.text,
        "place": placed.place,
        "box": [round(edge, 4) for edge in placed.box],
        "lines": list(placed.fit.lines),
        "height": round(placed.fit.height, 4),
        "needed": round(placed.fit.needed, 4),
        "slack": round(placed.fit.slack, 4),
        "condense": round(placed.fit.condense, 4),
    }
