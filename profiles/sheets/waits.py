"""When what a hand does has arrived, for the reports of wiring and of the host."""

from collections.abc import Iterator

from profiles.facts.box_model import QUEUE
from profiles.facts.device import DeviceFacts
from profiles.facts.pace import pace_of, rotary_paces
from profiles.report.document import Block, Column, Paragraph, Table
from profiles.text.prose import join_words


def list_waits(facts: DeviceFacts) -> Iterator[str]:
    """Sentences on the longest wait for a press, and on positions that take longer."""
    yield f"A press is reported after {pace_of(facts).slowest_press:.1f} ms at the latest."
    waiting = [facts.name(*one) for one, signal in facts.signals.items() if signal.waits]
    if waiting:
        whose, verb = ("its", "counts") if len(waiting) == 1 else ("their", "count")
        yield (
            f"{join_words(waiting)}, with no contact of {whose} own, {verb} once "
            f"nothing has been closed for {facts.device.wiring.hold:g} ms more (`hold`)."
        )


def turning_blocks(facts: DeviceFacts) -> Iterator[Block]:
    """How fast each rotary may be turned, and when its last detent is over."""
    turns = tuple((one.control, *one.safe, one.lag) for one in rotary_paces(facts))
    if turns:
        yield Paragraph(
            "Up to the speed of the table no detent is lost, and the last one is over in the time "
            f"beside it. Of a quicker turn {QUEUE} detents wait for their pulses."
        )
    columns = (
        Column("rotary", "control"),
        Column("fastest safe turn", "detents_per_second", unit="detents/s", digits=1),
        Column("", "rpm", unit="rpm", digits=0, align="right"),
        Column("last detent over after", "lag", unit="ms", digits=0, align="right"),
    )
    yield Table(columns, turns, "Turning", key="rotaries")
