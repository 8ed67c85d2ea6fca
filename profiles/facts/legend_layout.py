"""The place of every label of a plate for its profiles, for checks, sheets and screen alike.

`lay_out_legend` asks the one solver, `legend_fits` only whether all is shown;
`LegendLayout.list_shown` tells which words are where, which controls have a number, and what the
key says of it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

from profiles.facts.legend_labels import Label, Row, application_labels, fixed_labels
from profiles.lettering import BOLD, REGULAR, Face
from profiles.model.device import Device
from profiles.model.library import Link
from profiles.plate.label_requests import Placed, Placement
from profiles.plate.labels import legends_fit, place_legends
from profiles.plate.shapes import Point, Rectangle
from profiles.text.sign_words import say_signs, spell_signs

OWN_WORDS = "the plate's own words"
"""What the key calls the fixed labels."""


class ShownLabel(NamedTuple):
    """A label as it is shown on a plate, for a picture that sets words in its own way."""

    control: str
    contact: str
    lines: tuple[str, ...]
    """The lines on the plate, signs in plain words; the number alone where a key explains it."""
    styles: tuple[int, ...]
    """Whose each line is: its place in the layout's `names`."""
    box: Rectangle
    """Where they are, mm from the plate's lower left corner."""
    number: int
    """The number that the key explains; 0 for words."""
    key: str
    """What the key says of the number; empty for words."""
    leader: tuple[Point, Point] | None
    """The line from the control to the words, where there is one."""


@dataclass(frozen=True)
class LegendLayout:
    """The labels wanted, whose they are, and their places."""

    labels: tuple[Label, ...]
    names: tuple[str, ...]
    """Whose words each style of lettering is for."""
    placement: Placement

    def label(self, id_: str) -> Label:
        """The label of this id. Raises KeyError for none."""
        return self._by_id[id_]

    @cached_property
    def _by_id(self) -> dict[str, Label]:
        return {label.id: label for label in self.labels}

    def rows(self, placed: Placed) -> tuple[Row, ...]:
        """The row that each line of a placed label belongs to."""
        shown = self._shown(placed).shown_rows()
        rows = [row for row in shown for _ in row.text.split("\n")]  # breaks in a row's own words
        return tuple(rows[part] for part in placed.fit.parts)

    def left_out(self, placed: Placed) -> tuple[Row, ...]:
        """The rows that have no place beside the others of their label, nor in the key."""
        chords = self.label(placed.id).chords
        return chords if len(self._shown(placed).chords) < len(chords) else ()

    def list_shown(self) -> Iterator[ShownLabel]:
        """Every label that has a place, by id, as sheets and checks have it."""
        for placed in self.placement.placed:
            label = self.label(placed.id)
            yield ShownLabel(
                control=label.control,
                contact=label.contact,
                lines=tuple(map(say_signs, placed.fit.lines)),
                styles=tuple(row.style for row in self.rows(placed)),
                box=placed.box,
                number=placed.number,
                key=say_signs(self.key_words(placed)) if placed.number else "",
                leader=placed.leader,
            )

    def key_words(self, placed: Placed) -> str:
        """What a key says of a label: its words, with whose they are on a plate of several."""
        rows: dict[int, list[str]] = {}
        for row in self.label(placed.id).rows:
            rows.setdefault(row.style, []).append(" ".join(row.text.split()))
        whose = {style: " / ".join(words) for style, words in sorted(rows.items())}
        if len(self.names) == 1:
            return " / ".join(whose.values())
        return "; ".join(f"{self.names[style]}: {words}" for style, words in whose.items())

    def _shown(self, placed: Placed) -> Label:
        label = self.label(placed.id)
        if placed.means in ("words", "number"):
            return label
        return label.shorter() if placed.means == "short" else label.without_chords()


def legend_fits(device: Device, links: Sequence[Link]) -> bool:
    """Whether `lay_out_legend` shows all words, as they are wanted, beside their controls."""
    _, wanted, lettering = _want_labels(device, links, None)
    return legends_fit(device, [label.words() for label in wanted], lettering)


def lay_out_legend(
    device: Device, links: Sequence[Link], labels: str | None = None
) -> LegendLayout:
    """Place the labels of a device for its profiles.

    `labels` is `application` for what the applications do, `fixed` for the plate's own words, or
    `both`; None for `application` where there is a profile, otherwise `fixed`.
    """
    names, wanted, lettering = _want_labels(device, links, labels)
    placement = place_legends(device, [label.words() for label in wanted], lettering)
    return LegendLayout(tuple(wanted), names, placement)


def _want_labels(
    device: Device, links: Sequence[Link], labels: str | None
) -> tuple[tuple[str, ...], list[Label], Face]:
    """Whose words are wanted, the labels, and their lettering."""
    kind = labels or ("application" if links else "fixed")
    applications = name_applications(links)
    own = () if kind == "application" else (OWN_WORDS,)
    names = own if kind == "fixed" else (*own, *applications)
    wanted = list(fixed_labels(device)) if own else []
    if kind != "fixed":
        wanted += application_labels(device, links, len(own))
    return names, wanted, BOLD if len(names) > 1 else REGULAR


def name_applications(links: Sequence[Link]) -> tuple[str, ...]:
    """What the key calls each profile: its application, with its own id if that is not enough."""
    names = [link.application.name if link.application else "" for link in links]
    return tuple(
        f"{name} ({link.profile.id})" if names.count(name) > 1 else name
        for name, link in zip(names, links, strict=True)
    )


def describe_labels(placement: Placement) -> list[dict[str, Any]]:
    """Every label with its place, box and heights in mm, as plain types."""
    found: list[dict[str, Any]] = []
    for label in placement.placed:
        found.append(
            {
                "id": label.id,
                "text": spell_signs(label.text),
                "place": label.place,
                "means": label.means,
                "number": label.number or None,
                "leader": [[round(x, 4), round(y, 4)] for x, y in label.leader or ()] or None,
                "cause": label.cause,
                "box": [round(edge, 4) for edge in label.box],
                "lines": [spell_signs(line) for line in label.fit.lines],
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
                "text": spell_signs(missing.text),
                "place": None,
                "needed": round(missing.needed, 4),
                "cause": missing.cause,
            }
        )
    return found
