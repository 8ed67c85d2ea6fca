"""The boatyard: each of 25 building blocks, and each way to wire one, from its file to the host.

Blocks are what builders of such boxes use: the chart table has them, the winch house the ways in
which contacts, levers and LEDs reach a board. What a box must report is written here by hand, from
the words of the file. Its firmware runs four times: both cores, the compiled sketch on a simulated
chip, and the interpreter's files on a board that is stood in for; reports are read by hid-tools,
from the descriptor that the box sends. A hand then does a whole press test at it.
"""

from collections.abc import Mapping
from pathlib import Path
from typing import NamedTuple

import pytest

from profiles.checks.registry import run_checks
from profiles.facts.device import DeviceFacts
from profiles.facts.legend_layout import lay_out_legend
from profiles.files.library import LoadedLibrary, load_library
from profiles.live.diagnosis import diagnose
from profiles.live.fault_types import FaultKind
from profiles.live.faults import Fault
from profiles.live.session import Session
from profiles.model import Contact, Device
from profiles.sheets.bill import list_parts
from profiles.sheets.hole_list import list_holes
from profiles.sheets.legend import make_sheet
from profiles.sheets.requests import LegendRequest
from profiles.sheets.sheet import Subject
from tests.examples.schedule import (
    ROW_MS,
    Block,
    Found,
    Schedule,
    read_blocks,
    run_chip,
    run_cores,
    run_interpreter,
)
from tests.firmware.test_chip import REASON, build_host
from tests.firmware.test_fields import Bench
from tests.live.firmware_hand import FirmwareHand
from tests.live.test_examples import hear_all
from tests.needs import skip_unless

FOLDER = Path(__file__).parents[2] / "example_profiles" / "boatyard"


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
    "LED that follows a contact": Block(
        ("horn",), ("horn.press",), seen(49), lit=frozenset(["horn"])
    ),
    "contact at a pin of its own": Block(("mark",), ("mark.press",), seen(50)),
    "fixture without function": Block(("socket",)),
    "part used by many controls": Block(("lamp", "tack", "heel", "wiper", "flare")),
}


WIRINGS = {
    "matrix with diodes, LED on a driver": Block(
        ("hoist", "lower"), ("hoist.press", "lower.press hoist.press"), seen(1, 2), lit={"hoist"}
    ),
    "pin of its own": Block(("brake",), ("brake.press",), seen(3)),
    "shift-register chain, active low": Block(
        ("ring", "call", "lights"), ("ring.press", "call.press lights.press"), seen(5, 6, 7)
    ),
    "another chain, active high, LED in a matrix": Block(
        ("bell",), ("bell.press",), seen(9), lit={"bell"}
    ),
    "selector on a chain": Block(
        ("gear",), tuple(f"gear.position-{n}" for n in (1, 2, 3)), seen(10, 11, 12)
    ),
    "port expander over two wires": Block(
        ("mast", "keel", "horn", "stop"),
        ("mast.press", "keel.press horn.press", "stop.press"),
        seen(13, 14, 4, 28),
    ),
    "rotary on an expander": Block(("trim",), (*turn("trim"), "trim.press"), seen(15, 17)),
    "LED that follows a layer": Block(
        ("hoist", "pump"),
        ("hoist.press", "hoist.press pump.on"),
        seen(1, 8),
        lit={"hoist", "pump", "mast"},
    ),
    "multiplexer for contacts": Block(
        ("fore", "aft", "port", "starboard"),
        ("fore.press", "aft.press port.press", "starboard.press"),
        seen(19, 20, 21, 22),
    ),
    "multiplexer for levers": Block(
        ("speed", "rudder"),
        fields=(("000200bb", 32767), ("00010030", -32767)),
        percent=(("speed", 99.0), ("rudder", 1.0)),
    ),
    "resistor ladder": Block(
        ("range",), tuple(f"range.position-{n}" for n in range(1, 6)), seen(23, 24, 25, 26, 27)
    ),
}


class Box(NamedTuple):
    """An example device, and what must be seen of it."""

    device: Device
    bench: Bench
    blocks: Mapping[str, Block]
    rest: frozenset[int]
    lit: frozenset[str]
    channels: Mapping[str, int]

    @property
    def schedule(self) -> Schedule:
        return Schedule.of(self.blocks)

    def find_wrong(self, found: Mapping[str, Found]) -> dict[str, Found]:
        """Blocks that report otherwise than their file says."""
        wrong = {}
        for name, block in self.blocks.items():
            near = all(
                abs(found[name].fields[usage][0] - value) <= 70  # a step of a converter of 10 bits
                for usage, value in block.fields
            )
            if not near or found[name].seen != self.rest | block.seen:
                wrong[name] = found[name]
        return wrong


EXAMPLES = {
    "chart-table": (BLOCKS, seen(3, 13), frozenset[str](), {"sheet": 7, "helm": 6}),
    "winch-house": (WIRINGS, seen(), frozenset(["horn"]), {"speed": 100, "rudder": 101}),
}
"""Blocks; inputs down at rest: the centre of the on-off-on toggle and the key at OFF, both made by
the board of what is open; LEDs lit at power; channels of the converter, A0 and A1 (ATmega16U4/32U4
data sheet, pin configurations), places of a multiplexer counted from 100."""

EVERY = [(key, name) for key, (blocks, *_) in EXAMPLES.items() for name in blocks]


@pytest.fixture(scope="module")
def boatyard() -> LoadedLibrary:
    return load_library(FOLDER)


@pytest.fixture(scope="module")
def boxes(boatyard: LoadedLibrary, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Box]:
    made = {}
    for key, known in EXAMPLES.items():
        device = boatyard.library.devices[key]
        made[key] = Box(device, Bench(device, tmp_path_factory.mktemp("blocks")), *known)
    return made


@pytest.fixture(scope="module", params=EXAMPLES)
def box(request: pytest.FixtureRequest, boxes: dict[str, Box]) -> Box:
    return boxes[request.param]


@pytest.fixture(scope="module")
def words(boatyard: LoadedLibrary, boxes: dict[str, Box]) -> dict[str, set[str]]:
    found = {}
    for key, one in boxes.items():
        subject = Subject(library=boatyard.library, device=one.device)
        sheet = make_sheet(subject, LegendRequest(labels="fixed"))
        found[key] = {text.words for text in sheet.work.texts()}
    return found


@pytest.fixture(scope="module")
def asked(boxes: dict[str, Box]) -> dict[str, set[str]]:
    """Controls that a press test of each box asks for."""
    return {
        key: {step.contact.control for step in Session(one.device).steps if step.contact}
        for key, one in boxes.items()
    }


def test_there_are_25_blocks_and_11_ways_of_wiring() -> None:
    assert (len(BLOCKS), len(WIRINGS)) == (25, 11)


def test_no_check_finds_anything(boatyard: LoadedLibrary) -> None:
    assert run_checks(boatyard.library).findings == ()


@pytest.mark.parametrize(("key", "name"), EVERY)
def test_a_block_is_on_plate_and_legend(
    boxes: dict[str, Box], words: dict[str, set[str]], key: str, name: str
) -> None:
    device = boxes[key].device
    holes = {hole.id for hole in list_holes(device)}
    for control in boxes[key].blocks[name].controls:
        assert device.concentric.get(control, control) in holes
        if control in device.controls:
            assert device.controls[control].label in words[key]


@pytest.mark.parametrize(("key", "name"), EVERY)
def test_the_host_meets_what_a_block_sends(boxes: dict[str, Box], key: str, name: str) -> None:
    device, block = boxes[key].device, boxes[key].blocks[name]
    reported = DeviceFacts(device).reported.items()
    numbers = {n for contact, n in reported if contact.control in block.controls}

    assert block.seen <= numbers
    assert not block.fields or any(number > 0xFFFF for number in numbers)
    most = boxes[key].bench.plan.shape.buttons
    assert all(number <= most or number > 0xFFFF for number in numbers)


@pytest.mark.parametrize(("key", "name"), EVERY)
def test_a_press_test_asks_for_a_block(
    boxes: dict[str, Box], asked: dict[str, set[str]], key: str, name: str
) -> None:
    assert {one for one in boxes[key].blocks[name].controls if one != "socket"} <= asked[key]


def test_both_cores_report_every_block_as_its_file_says(box: Box) -> None:
    """The core of the sketch where a compiler is, and that of the interpreter."""
    schedule = box.schedule
    for told in run_cores(box.bench, schedule):
        assert box.find_wrong(read_blocks(schedule, told, box.bench)) == {}


@skip_unless(not REASON, REASON)
def test_the_chip_reports_and_lights_every_block_as_its_file_says(
    box: Box, tmp_path_factory: pytest.TempPathFactory
) -> None:
    folder, schedule = tmp_path_factory.mktemp("chip"), box.schedule
    build_host(folder)

    told, lit = run_chip(box.device, box.bench.plan, schedule, folder, box.channels)

    assert box.find_wrong(read_blocks(schedule, told, box.bench)) == {}
    for name, window in schedule.windows.items():
        assert lit[window.end // ROW_MS - 1] == box.lit | box.blocks[name].lit, name
        assert lit[window.over // ROW_MS - 1] == box.lit, name


def test_an_interpreter_reports_every_block_as_its_file_says(
    box: Box, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    schedule = box.schedule
    told = run_interpreter(box.device, schedule, tmp_path, monkeypatch)
    assert box.find_wrong(read_blocks(schedule, told, box.bench)) == {}


def test_a_hand_finds_a_box_that_runs_its_firmware_right_and_sound(box: Box) -> None:
    """Every step of the test, on the computer that hears one hat and every button here: Linux."""
    session = FirmwareHand(box.device, box.bench).run()

    assert {one.step.key: one.words for one in session.verdicts() if one.kind != "right"} == {}
    assert len(session.observations) == len(session.steps)
    assert diagnose(session.model, session.tries).is_sound


@pytest.mark.parametrize(
    ("key", "one", "other", "fault"),
    [
        ("chart-table", "gain.clockwise", "gain.anticlockwise", "turns-back"),
        ("chart-table", "dimmer.clockwise", "dimmer.anticlockwise", "turns-back"),
        ("chart-table", "heel.up", "heel.down", "exchanged"),
        ("winch-house", "fore.press", "keel.press", "exchanged"),
    ],
)
def test_a_hand_finds_what_is_soldered_in_place_of_something_else(
    boxes: dict[str, Box], key: str, one: str, other: str, fault: FaultKind
) -> None:
    box, pair = boxes[key], (Contact(*one.split(".")), Contact(*other.split(".")))
    session = FirmwareHand(box.device, box.bench, (pair,)).run()
    model = session.model
    places = tuple(sorted(map(model.index.__getitem__, pair)))
    if fault == "turns-back":
        places = (model.rotaries.index(pair[0].control),)

    (best, *_) = diagnose(model, session.tries).explanations

    assert Fault(fault, places) in (*best.faults, *(f for fs in best.equivalents for f in fs))


def test_a_simulated_hand_finds_every_box_sound(box: Box) -> None:
    session = Session(box.device)
    assert diagnose(session.model, hear_all(session, ())).is_sound


def test_the_parts_list_counts_each_part_once(boxes: dict[str, Box]) -> None:
    counted = {part.name: part.count for part in list_parts(boxes["chart-table"].device)}

    assert counted["Toggle, 12 mm"] == 7
    assert counted["Two encoders on one axis"] == 1


def test_the_legend_of_the_application_has_the_words_of_every_binding(
    boatyard: LoadedLibrary, box: Box
) -> None:
    links = boatyard.library.profiles_of(box.device.id)
    layout = lay_out_legend(box.device, links)
    subject = Subject(library=boatyard.library, device=box.device, links=tuple(links))
    printed = " ".join(text.words for text in make_sheet(subject, LegendRequest()).work.texts())

    assert layout.placement.unplaced == ()
    assert {label.control for label in layout.labels} == set(box.device.controls)
    for label in layout.labels:
        for word in label.words().text.split():
            assert word in printed
