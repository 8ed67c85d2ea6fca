"""Controls: the things a hand touches, and the contacts each of them switches.

A control has a kind. The kind decides its contacts:

| kind | contacts |
|---|---|
| momentary | `press` |
| latching | `on`, `off`; of three positions, or on at both, `up`, `centre`, `down` |
| rotary | `clockwise`, `anticlockwise`, `press`, and `pull` where the file names it |
| selector | `position-1` to `position-n` |
| hat | `up`, `right`, `down`, `left`, of eight ways those between, `press` |
| axis | `axis` |

A latching control or selector is at one position at a time, and its contact of that name is closed
then. A position may have no contact of its own: at most one, which the board makes of the others.

Each contact may have an input number (`input`, `inputs`), and a place in the wiring: a crossing
of the matrix (`crossing`, `crossings`), a pin of its own (`pin`, `pins`) or a bit of the register
chain (`bit`, `bits`). The singular key serves the control's main contact.

For a rotary the wiring of `clockwise` is the encoder's channel A and that of `anticlockwise` its
channel B.
"""

from collections.abc import Iterator
from typing import Annotated, Literal, get_args

from pydantic import Field

from profiles.model.base import (
    Coordinate,
    Distance,
    Duration,
    Identifier,
    Legend,
    Length,
    Value,
    judges,
)
from profiles.model.control_value import TURNS, ControlValue, Positions, name_position


class Momentary(ControlValue):
    """A push-button that springs back."""

    kind: Literal["momentary"]

    @property
    def contacts(self) -> tuple[str, ...]:
        """The one contact of a push-button."""
        return ("press",)

    @property
    def main_contact(self) -> str | None:
        """The one contact."""
        return "press"


Pattern = Literal[
    "on-off",
    "(on)-off",
    "off-(on)",
    "on-on",
    "on-(on)",
    "(on)-on",
    "on-off-on",
    "(on)-off-(on)",
    "on-off-(on)",
    "(on)-off-on",
    "on-on-on",
    "(on)-on-(on)",
    "on-on-(on)",
    "(on)-on-on",
]
"""Positions of a toggle from up to down as its data sheet has them; those in brackets spring."""


class Latching(ControlValue):
    """A toggle, rocker or latching button: it stays where it is put, or springs back from an end.

    `reports = "state"`: the input of a position stays down while the control is there.
    `reports = "edges"`: the box sends a short pulse on the input of the position it is put to.
    `reports = "changes"`: it pulses the input of `on` when put on and when put off.
    """

    kind: Literal["latching"]
    pattern: Pattern = "on-off"
    reports: Literal["state", "edges", "changes"] = "state"

    @property
    def contacts(self) -> tuple[str, ...]:
        """On, then off; from up to down where that tells more."""
        parts = self.pattern.count("-") + 1
        if parts == 2 and "off" in self.pattern:
            return ("on", "off")
        return ("up", "centre", "down") if parts == 3 else ("up", "down")

    @property
    def main_contact(self) -> str | None:
        """`on`, where it has one."""
        return "on" if "on" in self.contacts else None

    @property
    def positions_held(self) -> tuple[str, ...]:
        """Its contacts, from up to down."""
        return self.contacts

    @property
    def sprung(self) -> frozenset[str]:
        """What stands in brackets."""
        if self.main_contact:
            return frozenset(["on"] if "(" in self.pattern else [])
        parts = self.pattern.split("-")
        return frozenset(
            name for name, part in zip(self.contacts, parts, strict=True) if "(" in part
        )

    @property
    def rest_contact(self) -> str | None:
        """The centre, or the lower position that stays."""
        if "centre" in self.contacts:
            return "centre"
        return next(name for name in reversed(self.contacts) if name not in self.sprung)

    @property
    def is_pulsing(self) -> bool:
        """Whether changes pulse."""
        return self.reports != "state"

    @judges
    def _check_changes(self) -> Iterator[ValueError]:
        if self.reports == "changes":
            if self.main_contact is None:
                yield ValueError('has no `on` that `reports = "changes"` could pulse')
            elif "off" in self.inputs:
                yield ValueError(
                    'gives `off` an input, but `reports = "changes"` pulses that of `on`'
                )


AxisName = Literal[
    "x", "y", "z", "rx", "ry", "rz", "slider", "dial", "wheel",
    "rudder", "throttle", "accelerator", "brake", "steering",
]  # fmt: skip
AXIS_NAMES: tuple[AxisName, ...] = get_args(AxisName)
"""Axes a host knows: HID Usage Tables 1.12, tables 6 and 7."""

Percent = Annotated[float, Field(ge=0, le=100, allow_inf_nan=False)]
"""A share of the supply voltage, in percent."""


USUAL_SHARE = 5.0
"""By how much of an axis' travel a detent moves it where the file does not say, percent."""


class Rotary(ControlValue):
    """An incremental encoder, with or without a push switch.

    Its detents pulse the inputs of `clockwise` and `anticlockwise`; or, with `axis`, each moves an
    axis of the host by `axis_step` percent of its travel, from its middle on, and no further than
    its ends.
    """

    kind: Literal["rotary"]
    axis: AxisName | None = None
    axis_step: Annotated[float, Field(ge=0.1, le=100, allow_inf_nan=False)] | None = None
    detents: Annotated[int, Field(ge=1, le=400)] = 24
    steps_per_detent: Literal[1, 2, 4] = 4
    pulse: Duration | None = None
    gap: Duration | None = None
    opposite: Literal["queue", "cancel"] = "queue"

    @property
    def contacts(self) -> tuple[str, ...]:
        """Both directions and the push switch; the pull switch where any key names it."""
        tables = (self.inputs, self.crossings, self.pins, self.bits, self.labels)
        pull = ("pull",) if any("pull" in table for table in tables) else ()
        return (*TURNS, "press", *pull)

    @property
    def fields(self) -> tuple[str, ...]:
        """Both directions, where they move an axis."""
        return TURNS if self.axis else ()

    @property
    def share(self) -> float:
        """By how much of its axis' travel a detent moves it, percent."""
        return self.axis_step or USUAL_SHARE

    @judges
    def _check_axis(self) -> Iterator[ValueError]:
        if self.axis is None:
            if self.axis_step is not None:
                yield ValueError("has an `axis_step` but no `axis` that it moves")
            return
        for key in sorted(self.model_fields_set & {"pulse", "gap", "opposite"}):
            yield ValueError(f"has `{key}`, but its detents move an axis and pulse nothing")
        for way in TURNS:
            if way in self.inputs:
                yield ValueError(f"gives `{way}` an input, but its detents move an axis")


class Selector(ControlValue):
    """A rotary or key switch of n positions of which one is on at a time.

    Positions of `off` have no contact; from those of `spring`, at the ends, it springs back. Of a
    key switch the key comes out at the positions of `key_out`. `switching` says whether a contact
    opens before the next one closes, or after.
    """

    kind: Literal["selector"]
    positions: Annotated[int, Field(ge=2, le=48)]
    off: Positions = ()
    spring: Positions = ()
    key_out: Positions = ()
    switching: Literal["break-before-make", "make-before-break"] = "break-before-make"
    reports: Literal["state", "edges"] = "state"
    first_angle: Coordinate | None = None
    step_angle: Distance | None = None

    @property
    def contacts(self) -> tuple[str, ...]:
        """One contact a position, counted from 1."""
        return tuple(map(name_position, range(1, self.positions + 1)))

    @property
    def positions_held(self) -> tuple[str, ...]:
        """Its contacts, from position 1 on."""
        return self.contacts

    @property
    def sprung(self) -> frozenset[str]:
        """The positions of `spring`."""
        return frozenset(map(name_position, self.spring))

    @property
    def rest_contact(self) -> str | None:
        """The first position that stays."""
        return next(name for name in self.contacts if name not in self.sprung)

    @property
    def is_pulsing(self) -> bool:
        """Whether changes pulse."""
        return self.reports == "edges"

    @judges
    def _check_off(self) -> Iterator[ValueError]:
        yield from self._find_beyond("off")
        silent = {name_position(number) for number in self.off}
        for key in ("crossings", "pins", "bits"):
            for contact in sorted(silent.intersection(getattr(self, key))):
                yield ValueError(f"wires `{contact}` in `{key}`, but `off` gives it no contact")
        for contact in sorted(silent.intersection(self.inputs)) if len(silent) > 1 else ():
            yield ValueError(
                f"has {len(silent)} positions without a contact, which no board can "
                f"tell apart: `{contact}` takes no input"
            )

    @judges
    def _check_spring(self) -> Iterator[ValueError]:
        yield from self._find_beyond("spring")
        stays = [n for n in range(1, self.positions + 1) if n not in self.spring]
        if not stays or stays != list(range(stays[0], stays[-1] + 1)):
            yield ValueError(
                "has a `spring` between positions that stay, or at all of them: only those at its "
                "ends can spring back"
            )

    @judges
    def _check_key_out(self) -> Iterator[ValueError]:
        yield from self._find_beyond("key_out")

    def _find_beyond(self, key: str) -> Iterator[ValueError]:
        for number in getattr(self, key):
            if number > self.positions:
                yield ValueError(f"has no position {number}, which `{key}` names")


HatWay = Literal["up", "right", "down", "left", "up-right", "down-right", "down-left", "up-left"]
HAT_WAYS: tuple[HatWay, ...] = get_args(HatWay)
"""The four plain ways clockwise from up, then those between."""


class Hat(ControlValue):
    """A switch that tilts to 4 or 8 sides; 5 ways are 4 and a push.

    `reports = "hat"`: its ways are the positions of a hat switch, hats counted in the order of the
    file. `reports = "buttons"`: each way has an input number. A way between two others that has no
    wire of its own is made by the board while both of these are closed.
    """

    kind: Literal["hat"]
    ways: Literal[4, 5, 8] = 4
    reports: Literal["hat", "buttons"] = "hat"

    @property
    def contacts(self) -> tuple[str, ...]:
        """Its ways, and the push where it has one."""
        ways = HAT_WAYS if self.ways == 8 else HAT_WAYS[:4]
        return ways if self.ways == 4 else (*ways, "press")

    @property
    def fields(self) -> tuple[str, ...]:
        """Its ways, where it reports as a hat."""
        return self.contacts[: 8 if self.ways == 8 else 4] if self.reports == "hat" else ()

    @judges
    def _check_inputs(self) -> Iterator[ValueError]:
        for way in self.fields:
            if way in self.inputs:
                yield ValueError(f'gives `{way}` an input, which wants `reports = "buttons"`')


class Scale(Value):
    """Marks around a knob, or along a slide, evenly from its low to its high end."""

    marks: Annotated[tuple[Legend, ...], Field(strict=False, min_length=2, max_length=25)]
    angle: Annotated[float, Field(gt=0, le=360, allow_inf_nan=False)] | None = None
    stroke: Length | None = None

    @judges
    def _check_travel(self) -> Iterator[ValueError]:
        if (self.angle is None) == (self.stroke is None):
            yield ValueError("wants `angle` of a knob or `stroke` of a slide, one of the two")


class Axis(ControlValue):
    """A lever, slide or knob whose place a sensor measures; its main contact is `axis`.

    `range` are the voltages at its low and its high end in percent of the supply, `centre` the
    one at which it rests, around which `dead_band` percent either way count as the centre.
    """

    kind: Literal["axis"]
    axis: AxisName
    sensor: Literal["potentiometer", "hall"] = "potentiometer"
    range: Annotated[tuple[Percent, Percent], Field(strict=False)] = (2.0, 98.0)
    centre: Percent | None = None
    dead_band: Percent = 0.0
    reversed: bool = False
    resistance: Annotated[float, Field(gt=0, le=10_000, allow_inf_nan=False)] | None = None
    scale: Scale | None = None

    @property
    def contacts(self) -> tuple[str, ...]:
        """The one place where its sensor is measured."""
        return ("axis",)

    @property
    def main_contact(self) -> str | None:
        """The one contact."""
        return "axis"

    @property
    def fields(self) -> tuple[str, ...]:
        """The same: no button tells of it."""
        return self.contacts

    @judges
    def _check_range(self) -> Iterator[ValueError]:
        if self.centre is None and self.dead_band:
            yield ValueError("has a `dead_band` but no `centre`")
        low, high = self.range
        if low >= high:
            yield ValueError("has a `range` that does not rise; `reversed = true` turns it round")
        elif self.centre is not None and not (
            low < self.centre - self.dead_band and self.centre + self.dead_band < high
        ):
            yield ValueError("has a `dead_band` around `centre` that reaches an end of its `range`")

    @judges
    def _check_wire(self) -> Iterator[ValueError]:
        for key in ("input", "inputs", "crossing", "crossings", "bit", "bits"):
            if getattr(self, key):
                yield ValueError(f"has `{key}`, but an axis is measured at a `pin` of its own")


Control = Annotated[
    Momentary | Latching | Rotary | Selector | Hat | Axis, Field(discriminator="kind")
]
"""Any control; `kind` tells which."""

ControlId = Identifier
