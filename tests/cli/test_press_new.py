"""`platebook press learn NEW-ID`: a box without a file, worked and named, becomes a device file."""

import json
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from profiles.api import load
from profiles.cli import press_new
from profiles.cli.press_keys import END
from profiles.live.session import Session
from profiles.model import Axis, Hat, Latching, Rotary, Selector
from tests.cli.conftest import Run
from tests.cli.pressing import Deed, Person, Stage, stage
from tests.live.virtual import VirtualBox

__all__ = ["stage"]

Put = Callable[[Iterator[Deed]], None]


class Typist(Person):
    """Types names; at the end of the script the input has ended."""

    def next(self, timeout: float) -> str | None:
        """Do one thing more."""
        return next(self._script, END)


@pytest.fixture
def virtual(stage: Stage) -> Iterator[VirtualBox]:
    with VirtualBox(10, name="Front box", product=0x0077, axes=2, hats=1) as plugged:
        yield plugged


@pytest.fixture
def put(monkeypatch: pytest.MonkeyPatch, stage: Stage) -> Put:
    def put(script: Iterator[Deed]) -> None:
        monkeypatch.setattr(press_new, "open_typed", lambda: Typist(script))

    return put


def hold(stage: Stage, virtual: VirtualBox, number: int, ms: float = 90.0) -> Iterator[Deed]:
    yield from stage.press(virtual, number, ms)
    stage.wait(800.0)
    yield None


def pulse(stage: Stage, virtual: VirtualBox, number: int, times: int) -> Iterator[Deed]:
    for _ in range(times):
        yield from stage.press(virtual, number, 30.0)
        stage.wait(60.0)


def work_all(stage: Stage, virtual: VirtualBox) -> Iterator[Deed]:
    """One control of each kind, each named, some with their place."""
    yield from hold(stage, virtual, 1)
    yield "Fog horn"
    yield ""
    yield from hold(stage, virtual, 2, 2000.0)
    yield "Deck lights @ 1,3"
    yield from pulse(stage, virtual, 3, 4)
    yield from pulse(stage, virtual, 4, 5)
    yield from hold(stage, virtual, 5)
    yield "Trim"
    yield "2,1"
    for number in (6, 7, 8):
        yield from hold(stage, virtual, number, 1900.0)
    yield "Range @ 2,2"
    for way in (1, 2, 4, 8, 0):
        virtual.turn_hat(1, way)
        stage.wait(90.0)
        yield None
    yield "View @ 2,3"
    for place in (0, 32767, -32768, 0):
        virtual.move_axis(2, place)
        stage.wait(90.0)
        yield None
    yield "Rudder @ 3,2"
    yield from hold(stage, virtual, 9)
    yield from hold(stage, virtual, 10, 140.0)
    yield "Boom = latching @ 3,3"
    yield "done"


def learn(platebook: Run, library: Path, *more: str) -> tuple[int, str, str]:
    ran = platebook("press", "learn", "front", "--library", library, *more)
    return ran.code, ran.out, ran.err


def test_a_box_without_a_file_is_named_and_its_file_passes_check(
    platebook: Run, library: Path, stage: Stage, virtual: VirtualBox, put: Put
) -> None:
    put(work_all(stage, virtual))
    code, out, err = learn(platebook, library)
    assert code == 0
    assert out.splitlines()[:2] == ["7 controls of Front box", "Never heard: axis 1"]
    assert [" ".join(line.split()) for line in out.splitlines()[5:]] == [
        "fog-horn Fog horn momentary button 1 1,1",
        "deck-lights Deck lights latching button 2 1,3",
        "trim Trim rotary buttons 3 to 5 2,1",
        "range Range selector buttons 6 to 8 2,2",
        "view View hat hat 1 2,3",
        "rudder Rudder axis axis 2 3,2",
        "boom Boom latching buttons 9, 10 3,3",
    ]
    assert "Heard: input 1 springs back: a momentary. Type its name" in err
    assert platebook("check", "--library", library).code == 0
    device = load(library).library.devices["front"]
    assert (device.name, device.device.usb and device.device.usb.product) == ("Front box", "0077")
    controls = device.controls
    assert {name: control.kind for name, control in controls.items()} == {
        "fog-horn": "momentary",
        "deck-lights": "latching",
        "trim": "rotary",
        "range": "selector",
        "view": "hat",
        "rudder": "axis",
        "boom": "latching",
    }
    assert not any(control.wired_contacts for control in controls.values())
    boom = controls["boom"]
    assert isinstance(boom, Latching)
    assert (boom.pattern, boom.inputs) == ("(on)-off-(on)", {"up": 9, "down": 10})


def test_the_box_that_was_learnt_is_then_tested_and_is_right_in_every_step(
    platebook: Run, library: Path, stage: Stage, virtual: VirtualBox, put: Put
) -> None:
    put(work_all(stage, virtual))
    learn(platebook, library)
    device = load(library).library.devices["front"]

    def script() -> Iterator[Deed]:
        """A hand at the same box, which does what is asked."""
        for step in Session(device).steps:
            contact = step.contact
            if contact is None:
                yield "next"
                continue
            control = device.controls[contact.control]
            if isinstance(control, Hat):
                virtual.turn_hat(1, 1 << control.contacts.index(contact.contact))
                yield None
                virtual.turn_hat(1, 0)
                yield None
            elif isinstance(control, Axis):
                virtual.move_axis(2, 32767 if step.gesture == "to-high" else -32768)
                yield None
            elif isinstance(control, Rotary) and step.gesture == "turn":
                yield from pulse(
                    stage, virtual, control.input_by_contact[contact.contact], step.detents
                )
            elif isinstance(control, Selector) or step.stays:
                for other, number in control.input_by_contact.items():
                    virtual.set(number, other == contact.contact)
                    yield None
            else:
                number = control.input_by_contact[contact.contact]
                yield from stage.press(virtual, number)
            stage.wait(2000.0)
            yield None

    stage.put(script())
    ran = platebook("press", "test", "front", "--library", library, "--every")
    assert (ran.code, ran.out.splitlines()[1]) == (0, "19 right")


def test_a_file_or_id_that_is_there_is_never_written_over(
    platebook: Run, library: Path, stage: Stage, virtual: VirtualBox, put: Put
) -> None:
    put(work_all(stage, virtual))
    learn(platebook, library)
    path = library / "front.toml"
    path.write_text(path.read_text(encoding="utf-8").replace('"front"', '"rear"'), "utf-8")
    before = path.read_bytes()
    code, out, err = learn(platebook, library, "--from", "front-learn.jsonl")
    assert (code, out, path.read_bytes()) == (2, "", before)
    assert err == (
        f"platebook: {path} is there already, and is left as it is\n  Choose another id.\n"
    )


def test_a_recording_leads_to_the_same_file_without_a_box(
    platebook: Run, library: Path, stage: Stage, virtual: VirtualBox, put: Put
) -> None:
    put(work_all(stage, virtual))
    learn(platebook, library)
    first = (library / "front.toml").read_text(encoding="utf-8")
    (library / "front.toml").unlink()
    virtual.unplug()
    words = ("--from", "front-learn.jsonl", "--name", "Bow", "--plate", "90x60", "--json")
    code, out, _ = learn(platebook, library, *words)
    told = json.loads(out)
    assert (code, told["never_heard"], told["controls"][1]["place"]) == (0, "axis 1", "1,3")
    device = load(library).library.devices["front"]
    assert (device.name, device.plate.width, device.plate.height) == ("Bow", 90.0, 60.0)
    assert device.controls["fog-horn"].position == (15.0, 50.0)
    assert platebook("check", "--library", library).code == 0
    (library / "front.toml").unlink()
    learn(platebook, library, "--from", "front-learn.jsonl")
    assert (library / "front.toml").read_text(encoding="utf-8") == first


def test_a_run_that_was_stopped_goes_on_where_it_was(
    platebook: Run, library: Path, stage: Stage, virtual: VirtualBox, put: Put
) -> None:
    def begin() -> Iterator[Deed]:
        yield from hold(stage, virtual, 1)
        yield "Fog horn @ 1,1"
        yield "stop"

    def finish() -> Iterator[Deed]:
        yield from hold(stage, virtual, 2)
        yield "Bell @ 1,2"
        yield "done"

    put(begin())
    code, out, err = learn(platebook, library)
    assert (code, out) == (2, "")
    assert err.endswith("note: stopped; run the same command again to resume front-learn.jsonl\n")
    assert not (library / "front.toml").exists()
    put(finish())
    code, _, err = learn(platebook, library)
    assert code == 0
    assert "1 control named already; recorded in front-learn.jsonl" in err
    assert [*load(library).library.devices["front"].controls] == ["fog-horn", "bell"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (
            ("press", "learn", "fr/ont"),
            "platebook: id `fr/ont` is no id: write letters, digits, `-` and `_`, at most 64\n",
        ),
        (
            ("press", "learn", "front", "--plate", "big"),
            "platebook: `big` is no size of a plate in mm\n  Write it such as 220x120.\n",
        ),
        (
            ("press", "learn", "bowels", "--from", "none.jsonl"),
            "platebook: cannot read none.jsonl",
        ),
        (
            ("press", "learn", "desk", "--name", "Desk"),
            "--name and --plate go with a new box",
        ),
        (
            ("press", "learn", "front", "--write"),
            "--write goes with a device of the library; a new one is written",
        ),
    ],
)
def test_what_cannot_be_begun_is_said_at_once(
    platebook: Run, library: Path, words: tuple[str, ...], said: str
) -> None:
    ran = platebook(*words, "--library", library)
    assert (ran.code, ran.out) == (2, "")
    assert said in ran.err


def test_without_a_box_it_says_so(platebook: Run, library: Path, stage: Stage) -> None:
    ran = platebook("press", "learn", "front", "--library", library)
    assert ran.code == 2
    assert "platebook: no box is plugged in\n  Plug it in. Nothing" in ran.err


def test_a_name_that_is_nearly_a_device_is_asked_about(
    platebook: Run, library: Path, stage: Stage, virtual: VirtualBox, put: Put
) -> None:
    put(iter(["stop"]))
    ran = platebook("press", "learn", "deck", "--library", library)
    assert ran.err.splitlines()[0] == (
        "no device `deck` yet: it is described from the box; type stop if you meant `desk`"
    )


def test_one_of_several_boxes_is_chosen(
    platebook: Run, library: Path, stage: Stage, virtual: VirtualBox, put: Put
) -> None:
    with VirtualBox(4, name="Side box", product=0x0078):
        code, _, err = learn(platebook, library)
        assert code == 2
        assert "2 boxes are plugged in: 1: Front box, 1209:0077" in err

        def script() -> Iterator[Deed]:
            yield from hold(stage, virtual, 1)
            yield "stop"

        put(script())
        _, _, err = learn(platebook, library, "--which", "1")
        assert "Heard: input 1 springs back" in err
