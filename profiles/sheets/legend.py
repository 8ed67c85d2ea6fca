"""The faceplate legend: the plate from the front, every label in its place, true to scale.

With no profile it shows the words of the plate itself; with one, what each control does in that
title; with two or three, all of them on one plate, told apart by side and by weight, and a key
says which is which.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from profiles.drawing.frame import Frame
from profiles.drawing.geometry import mirrored
from profiles.drawing.layout import bind, lay_out
from profiles.drawing.recorder import Drawing, Recorder
from profiles.drawing.titleblock import TitleBlock
from profiles.lettering import BOLD, REGULAR
from profiles.model.device import Device
from profiles.model.finding import Spot
from profiles.plate.labels import Legend as Words
from profiles.plate.labels import label_id, place_legends
from profiles.plate.wanted import Placed, Placement, Unplaced
from profiles.sheets.label_art import draw_key, draw_label
from profiles.sheets.legends import Legend, find_legends
from profiles.sheets.plate_art import draw_plate
from profiles.sheets.sheet import Order, PrintedSheet, Remark, remark_losses


@dataclass(frozen=True, slots=True)
class Label:
    """One label wanted on the plate: the words that must stand, and those of chords below."""

    words: Words
    chords: tuple[str, ...]
    spot: Spot

    @property
    def id(self) -> str:
        """The id under which the layout knows it."""
        return label_id(self.words)

    def full(self) -> Words:
        """The words with one line more for each chord."""
        lines = [self.words.text, *self.chords] if self.words.text else list(self.chords)
        return self.words._replace(text="\n".join(lines))


@dataclass(frozen=True, slots=True)
class LegendLayout:
    """Where every label of a plate stands, and what had to give way."""

    labels: tuple[Label, ...]
    placement: Placement
    remarks: tuple[Remark, ...]


def make_sheet(order: Order) -> PrintedSheet:
    """Make the faceplate legend of a device for up to three profiles."""
    layout = lay_out_legend(order.device, order.links, order.options.get("labels", ""))
    work = draw_legend(order, layout)
    titles = [link.application.name if link.application else "" for link in order.links]
    block = TitleBlock(
        f"{order.device.name}: faceplate legend",
        ", ".join(titles) or "words of the plate itself",
        date=order.date,
        view="from behind" if order.rear else "from the front",
    )
    pages = lay_out(work, Frame(order.paper, block))
    document, cut = bind(pages.sheets, title=block.title, subject=block.subtitle)
    return PrintedSheet(
        name="-".join([order.device.id, *(link.profile.id for link in order.links), "legend"]),
        title=block.title,
        work=work,
        document=document,
        remarks=(*layout.remarks, *remark_losses((*pages.losses, *cut))),
        facts={"labels": describe_labels(layout.placement)},
    )


def draw_legend(order: Order, layout: LegendLayout) -> Drawing:
    """The plate with its labels, origin at its lower left corner; mirrored for the rear."""
    board = Recorder()
    draw_plate(board, order.device)
    faces = _faces(len(order.links))
    with board.layer("legends"):
        series = {label.id: label.words.series for label in layout.labels}
        for placed in layout.placement.placed:
            number = series[placed.id]
            draw_label(board, placed, faces[number], underlined=number == 2)
    if len(order.links) > 1:
        names = [link.application.name if link.application else "" for link in order.links]
        draw_key(board, names, faces, order.device.plate.width)
    drawing = board.finish()
    if not order.rear:
        return drawing
    return drawing.transformed(mirrored(order.device.plate.width / 2)).readable()


def _faces(titles: int) -> tuple[Any, ...]:
    """Faces by title: alone regular; together the first bold."""
    return (REGULAR,) if titles < 2 else (BOLD, REGULAR, REGULAR)


def lay_out_legend(device: Device, links: Sequence[Any], labels: str = "") -> LegendLayout:
    """Place the labels of a device for its profiles.

    `labels` is `title` for what the title does, `fixed` for the plate's own words, `both`; empty
    for `title` where there is a profile, else `fixed`. Lines of chords give way first.
    """
    kind = labels or ("title" if links else "fixed")
    wanted: list[Label] = []
    if kind in ("fixed", "both"):
        wanted.extend(fixed_labels(device))
    if kind in ("title", "both"):
        first = 1 if kind == "both" else 0
        for series, link in enumerate(links, first):
            wanted.extend(title_labels(device, find_legends(link, device), series))
    lettering = BOLD if len(links) > 1 else REGULAR
    placement = place_legends(device, [label.full() for label in wanted], lettering)
    crowded = {one.id for one in placement.unplaced}
    bare = [label for label in wanted if label.id in crowded and label.chords]
    if bare:
        words = [label.words if label in bare else label.full() for label in wanted]
        kept = [one for one in words if one.text]
        placement = place_legends(device, kept, lettering)
    remarks = (*_chord_remarks(bare), *_placement_remarks(wanted, placement))
    return LegendLayout(tuple(wanted), placement, remarks)


def fixed_labels(device: Device) -> Iterable[Label]:
    """The plate's own words: each control's label, and those of single contacts."""
    for control_id, control in device.controls.items():
        spot = Spot(device.id, ("controls", control_id, "label"))
        yield Label(Words(control_id, "", control.label), (), spot)
        for contact, text in control.labels.items():
            where = Spot(device.id, ("controls", control_id, "labels", contact))
            yield Label(Words(control_id, contact, text), (), where)


def title_labels(device: Device, legends: Iterable[Legend], series: int = 0) -> Iterable[Label]:
    """What each contact does in a title; chords as lines of their own under it."""
    plain: dict[tuple[str, str], Legend] = {}
    chords: dict[tuple[str, str], list[Legend]] = {}
    for legend in legends:
        key = (legend.contact.control, legend.contact.contact)
        if legend.held:
            chords.setdefault(key, []).append(legend)
        else:
            plain[key] = legend
    for key in dict.fromkeys([*plain, *chords]):
        first = plain.get(key) or chords[key][0]
        words = Words(*key, plain[key].text if key in plain else "", series)
        lines = tuple(_chord_words(device, chord) for chord in chords.get(key, ()))
        yield Label(words, lines, first.spot)


def _chord_words(device: Device, legend: Legend) -> str:
    held = " + ".join(
        device.controls[one.control].label if one.device == device.id else one.control
        for one in legend.held
    )
    return f"{held} + {legend.text}"


def _chord_remarks(labels: Iterable[Label]) -> Iterable[Remark]:
    for label in labels:
        for line in label.chords:
            yield Remark("left-out", f"no room for `{line}` at `{label.id}`", label.spot)


def _placement_remarks(labels: Sequence[Label], placement: Placement) -> Iterable[Remark]:
    spots = {label.id: label.spot for label in labels}
    for missing in placement.unplaced:
        yield _left_out(missing, spots[missing.id])
    for placed in placement.placed:
        if placed.fit.condense < 1 - 1e-9:
            share = round(placed.fit.condense * 100)
            message = f"`{_one_line(placed.text)}` at `{placed.id}` condensed to {share} %"
            yield Remark("condensed", message, spots[placed.id])


def _left_out(missing: Unplaced, spot: Spot) -> Remark:
    message = f"`{_one_line(missing.text)}` at `{missing.id}`: {missing.reason}"
    return Remark("left-out", message, spot)


def _one_line(text: str) -> str:
    return text.replace("\n", ", ")


def describe_labels(placement: Placement) -> list[dict[str, Any]]:
    """Every label with its place, box and heights in mm, as plain types."""
    placed = [_describe(one) for one in placement.placed]
    unplaced = [
        {"id": one.id, "text": one.text, "place": None, "needed": one.needed, "reason": one.reason}
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
