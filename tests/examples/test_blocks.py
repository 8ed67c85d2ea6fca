"""The chart table of the boatyard: each of 25 building blocks, from its file to the host.

Blocks are what builders of such boxes use. What a box must report is written here by hand, from
the words of the file; reports are read by hid-tools, from the descriptor that the box sends.
"""

from pathlib import Path
from typing import Any, NamedTuple

import pytest

from profiles.checks.registry import run_checks
from profiles.facts.device import DeviceFacts
from profiles.facts.legend_layout import lay_out_legend
from profiles.files.library import LoadedLibrary, load_library
from profiles.live.diagnosis import diagnose
from profiles.live.session import Session
from profiles.model import Contact, Device
from profiles.sheets.bill import list_parts
from profiles.sheets.hole_list import list_holes
from profiles.sheets.legend import make_sheet
from profiles.sheets.requests import LegendRequest
from profiles.sheets.sheet import Subject
from tests.firmware.test_fields import Bench
from tests.live.test_examples import hear_all

FOLDER = Path(__file__).parents[2] / "example_profiles" / "boatyard"
REST = {3, 13}
"""Inputs down at rest: the centre of the on-off-on toggle and the key at OFF, both made by the
board of what is open."""


class Block(NamedTuple):
    """Controls of a block, contacts closed one set after another, and inputs seen down beside those
    at rest; `fields` are hats and axes by usage (HID Usage Tables 1.12, tables 6 and 7) at the
    end."""

    controls: tuple[str, ...]
    frames: tuple[str, ...] = ()
    seen: frozenset[int] = frozenset()
    fields: tuple[tuple[str, int], ...] = ()
    percent: tuple[tuple[str, float], ...] = ()


def turn(name: str) -> tuple[str, ...]:
    """Four Gray code steps clockwise: channel A leads."""
    a, b = f"{name}.clockwise", f"{name}.anticlockwise"
    return a, f"{a} {b}", b, ""


def seen(*numbers: int) -> frozenset[int]:
    return frozenset(numbers)


BLOCKS = {
    "toggle on-off": Block(("lamp",), ("lamp.on",), seen(1)),
    "toggle on-off-on, its centre made by the board": Block(
        ("tack",), ("tack.up", "", "tack.down"), seen(2, 4)
    ),
    "toggle (on)-off-(on)": Block(("heel",), ("heel.up", "", "heel.down"), seen(5, 6)),
    "toggle on-off-(on)": Block(("wiper",), ("wiper.up", "", "wiper.down"), seen(7, 8)),
    "toggle with a guard": Block(("flare",), ("flare.on",), seen(9)),
    "latching, one input pulsed both ways": Block(("alarm",), ("alarm.on",), seen(10)),
    "latching, edges on two inputs": Block(("anchor",), ("anchor.on", ""), seen(11, 12)),
    "key switch, one position off, one springs back": Block(
        ("ignition",), ("ignition.position-2", "ignition.position-3"), seen(14, 15)
    ),
    "selector, make before break": Block(
        ("scale",), ("scale.position-1", "scale.position-1 scale.position-2"), seen(16, 17)
    ),
    "rotary, 1 step a detent": Block(("zoom",), ("zoom.clockwise", ""), seen(19, 20)),
    "rotary, 2 steps a detent": Block(("depth",), turn("depth")[:2], seen(21)),
    "rotary, 4 steps a detent, with a push": Block(
        ("gain",), (*turn("gain"), "gain.press"), seen(23, 25)
    ),
    "rotary, push and pull": Block(("volume",), ("volume.press", "volume.pull"), seen(28, 29)),
    "rotary, opposite detents cancel": Block(("course",), turn("course"), seen(30)),
    "two rotaries on one axis": Block(
        ("tune", "fine"), (*turn("tune"), *turn("fine")), seen(32, 34)
    ),
    "rotary that moves an axis": Block(("dimmer",), turn("dimmer"), fields=(("00010037", 3277),)),
    "hat of 4 ways": Block(("look",), ("look.right",), fields=(("hats", 3),)),
    "hat of 5 ways as buttons": Block(("menu",), ("menu.left", "menu.press"), seen(39, 40)),
    "hat of 8 ways": Block(("swing",), ("swing.up swing.right",), seen(45)),
    "axis with a potentiometer": Block(
        ("sheet",), fields=(("00010032", 32767),), percent=(("sheet", 100.0),)
    ),
    "axis with a hall sensor and a centre": Block(
        ("helm",), fields=(("00010030", 0),), percent=(("helm", 52.0),)
    ),
    "LED that follows a contact": Block(("horn",), ("horn.press",), seen(49)),
    "contact at a pin of its own": Block(("mark",), ("mark.press",), seen(50)),
    "fixture without function": Block(("socket",)),
    "part used by many controls": Block(("lamp", "tack", "heel", "wiper", "flare")),
}


@pytest.fixture(scope="module")
def boatyard() -> LoadedLibrary:
    return load_library(FOLDER)


@pytest.fixture(scope="module")
def table(boatyard: LoadedLibrary) -> Device:
    return boatyard.library.devices["chart-table"]


@pytest.fixture(scope="module")
def bench(table: Device, tmp_path_factory: pytest.TempPathFactory) -> Bench:
    return Bench(table, tmp_path_factory.mktemp("blocks"))


@pytest.fixture(scope="module")
def words(boatyard: LoadedLibrary, table: Device) -> set[str]:
    subject = Subject(library=boatyard.library, device=table)
    sheet = make_sheet(subject, LegendRequest(labels="fixed"))
    return {text.words for text in sheet.work.texts()}


@pytest.fixture(scope="module")
def session(table: Device) -> Session:
    return Session(table)


def press(bench: Bench, block: Block) -> list[tuple[set[int], dict[str, list[int]]]]:
    """Of each core all inputs seen down, and the last report; a frame lasts 150 ms."""
    frames = [{Contact(*one.split(".")) for one in frame.split()} for frame in block.frames]
    rest = dict.fromkeys(bench.axes, 32768)
    places = {name: round(655.35 * share) for name, share in block.percent}
    rows: list[Any] = [bench.row(set(), rest)] * 30
    for closed in frames or [set()]:
        rows += [bench.row(closed, rest | places)] * 30
    found = []
    for core in bench.cores:
        told = [bench.reader.read(raw) for _, raw in core.run(rows, [5] * len(rows), bytes(16))]
        found.append(({number for one in told for number in one["buttons"]}, told[-1]))
    return found


def test_there_are_25_blocks() -> None:
    assert len(BLOCKS) == 25


def test_no_check_finds_anything(boatyard: LoadedLibrary) -> None:
    assert run_checks(boatyard.library).findings == ()


@pytest.mark.parametrize("name", BLOCKS)
def test_a_block_is_on_plate_and_legend(table: Device, words: set[str], name: str) -> None:
    holes = {hole.id for hole in list_holes(table)}
    for control in BLOCKS[name].controls:
        assert table.concentric.get(control, control) in holes
        if control in table.controls:
            assert table.controls[control].label in words


@pytest.mark.parametrize("name", [name for name in BLOCKS if BLOCKS[name].seen])
def test_a_block_presses_its_inputs(bench: Bench, name: str) -> None:
    """Both cores of the firmware: of the sketch where a compiler is, and of the interpreter."""
    for down, _ in press(bench, BLOCKS[name]):
        assert down == REST | BLOCKS[name].seen


@pytest.mark.parametrize("name", [name for name in BLOCKS if BLOCKS[name].fields])
def test_a_block_moves_its_hat_or_axis(bench: Bench, name: str) -> None:
    for down, last in press(bench, BLOCKS[name]):
        assert down <= REST
        for usage, value in BLOCKS[name].fields:
            assert last[usage][0] == pytest.approx(value, abs=1)


@pytest.mark.parametrize("name", BLOCKS)
def test_the_host_meets_what_a_block_sends(table: Device, bench: Bench, name: str) -> None:
    facts = DeviceFacts(table)
    block = BLOCKS[name]
    numbers = {n for contact, n in facts.reported.items() if contact.control in block.controls}

    assert block.seen <= numbers
    assert not block.fields or any(number > 0xFFFF for number in numbers)
    assert all(number <= bench.plan.shape.buttons or number > 0xFFFF for number in numbers)


@pytest.mark.parametrize("name", BLOCKS)
def test_a_press_test_asks_for_a_block(session: Session, name: str) -> None:
    asked = {step.contact.control for step in session.steps if step.contact}

    assert {one for one in BLOCKS[name].controls if one != "socket"} <= asked


def test_a_simulated_hand_finds_the_whole_table_sound(session: Session) -> None:
    assert diagnose(session.model, hear_all(session, ())).is_sound


def test_the_parts_list_counts_each_part_once(table: Device) -> None:
    counted = {part.name: part.count for part in list_parts(table)}

    assert counted["Toggle, 12 mm"] == 7
    assert counted["Two encoders on one axis"] == 1


def test_the_led_follows_its_contact(bench: Bench) -> None:
    (light,) = bench.plan.lights

    assert (light.control, light.closed, light.led.pin) == (
        "horn",
        (Contact("horn", "press"),),
        "6",
    )


def test_the_legend_of_the_application_has_the_words_of_every_binding(
    boatyard: LoadedLibrary, table: Device
) -> None:
    links = boatyard.library.profiles_of(table.id)
    layout = lay_out_legend(table, links)
    subject = Subject(library=boatyard.library, device=table, links=tuple(links))
    printed = " ".join(text.words for text in make_sheet(subject, LegendRequest()).work.texts())

    assert layout.placement.unplaced == ()
    assert {label.control for label in layout.labels} == set(table.controls)
    for label in layout.labels:
        for word in label.words().text.split():
            assert word in printed
