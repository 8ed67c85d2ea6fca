"""Reading boxes through SDL; the boxes are SDL's own virtual joysticks."""

import subprocess
import sys
from collections.abc import Iterator

import pytest

from profiles.live.events import Event, FoundBox, LiveError, Steady, follow_box, match_boxes
from profiles.live.reader import SdlReader
from profiles.model import UsbIdentity
from tests.live.conftest import FakeClock
from tests.live.virtual import VirtualBox


@pytest.fixture
def reader(clock: FakeClock) -> Iterator[SdlReader]:
    with SdlReader(clock) as opened:
        yield opened


def test_a_box_is_listed_with_name_identity_and_counts(reader: SdlReader) -> None:
    with VirtualBox(20, name="Helm desk", axes=2, hats=1) as box:
        (seen,) = reader.devices()
    assert (seen.name, seen.vendor, seen.product) == ("Helm desk", "1209", "0001")
    assert (seen.buttons, seen.axes, seen.hats) == (20, 2, 1)
    assert seen.instance == box.instance


def test_plugging_in_and_unplugging_are_events(reader: SdlReader) -> None:
    with VirtualBox() as box:
        (added,) = reader.poll()
    (removed,) = reader.poll()
    assert (added.kind, removed.kind) == ("added", "removed")
    assert added.device == removed.device == box.instance
    assert added.box == removed.box
    assert reader.devices() == ()


def test_buttons_count_from_one_and_carry_the_clock(reader: SdlReader, clock: FakeClock) -> None:
    with VirtualBox() as box:
        reader.poll()
        clock.time += 250
        box.set(1, True)
        first = reader.poll()
        clock.time += 40
        box.set(1, False)
        second = reader.poll()
    assert first == [Event(250.0, box.instance, "down", 1)]
    assert second == [Event(290.0, box.instance, "up", 1)]


def test_hats_and_axes_are_read(reader: SdlReader) -> None:
    with VirtualBox(axes=2, hats=2) as box:
        reader.poll()
        box.turn_hat(2, 3)
        box.move_axis(1, -32768)
        events = {(one.kind, one.number): one.value for one in reader.poll()}
    assert events == {("hat", 2): 3, ("axis", 1): -32768}


def test_what_is_down_when_a_box_is_plugged_in_is_said(clock: FakeClock) -> None:
    with SdlReader(clock) as first, VirtualBox() as box:
        first.poll()
        box.set(3, True)
        with SdlReader(clock) as second:
            added, *_ = second.poll()
    assert (added.kind, added.down) == ("added", (3,))


def test_two_boxes_of_one_make_are_told_apart_by_instance(reader: SdlReader) -> None:
    with VirtualBox(name="Twin") as one, VirtualBox(name="Twin") as other:
        reader.poll()
        one.set(2, True)
        other.set(2, True)
        assert [event.device for event in reader.poll()] == [one.instance, other.instance]
        one.unplug()
        *let_go, removed = reader.poll()
        assert [(event.kind, event.number) for event in let_go] == [("up", 2)]
        assert (removed.kind, removed.device) == ("removed", one.instance)
        assert [box.instance for box in reader.devices()] == [other.instance]


def test_a_box_plugged_in_again_is_a_new_instance_that_works(reader: SdlReader) -> None:
    with VirtualBox() as first:
        pass
    with VirtualBox() as second:
        reader.poll()
        second.set(5, True)
        (event,) = reader.poll()
    assert event == Event(event.time, second.instance, "down", 5)
    assert first.instance != second.instance


def test_a_thousand_events_come_in_order_and_complete(reader: SdlReader, clock: FakeClock) -> None:
    with VirtualBox() as box:
        reader.poll()
        events = []
        for step in range(1000):
            clock.time += 1
            box.set(1, step % 2 == 0)
            events += reader.poll()
    assert [event.kind for event in events] == ["down", "up"] * 500
    assert [event.time for event in events] == [float(step) for step in range(1, 1001)]


def test_events_go_on_at_the_start_that_was_asked_for(clock: FakeClock) -> None:
    with SdlReader(clock, start=5000.0) as reader, VirtualBox() as box:
        reader.poll()
        clock.time += 10
        box.set(1, True)
        assert reader.poll() == [Event(5010.0, box.instance, "down", 1)]
        assert reader.now() == 5010.0


def test_without_a_clock_times_never_fall() -> None:
    with SdlReader() as reader, VirtualBox() as box:
        events = reader.poll()
        for down in (True, False, True):
            box.set(1, down)
            events += reader.poll()
        times = [event.time for event in events] + [reader.now()]
    assert times == sorted(times)
    assert times[0] >= 0


def test_a_clock_that_jumps_back_costs_no_time_and_never_runs_backwards() -> None:
    steady = Steady()
    assert [steady.at(raw) for raw in (100, 140, 20, 50, 50)] == [0, 40, 40, 70, 70]


def test_absent_sdl_names_the_remedy(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "sdl2", None)
    with pytest.raises(LiveError) as caught:
        SdlReader()
    assert caught.value.message == "Reading a box needs SDL, which is not installed"
    assert caught.value.advice == f"Install it: {sys.executable} -m pip install pysdl2 pysdl2-dll"


def test_broken_sdl_names_the_remedy() -> None:
    """The library is found but is no library; the interpreter is fresh, as SDL loads once."""
    program = (
        "import sys, types\n"
        "class Broken:\n"
        "    def find_spec(self, name, path=None, target=None):\n"
        "        if name == 'sdl2': raise OSError('wrong ELF class')\n"
        "sys.meta_path.insert(0, Broken())\n"
        "from profiles.live.reader import SdlReader\n"
        "from profiles.live.events import LiveError\n"
        "try: SdlReader()\n"
        "except LiveError as error: print(error.message, '|', error.advice)\n"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True)
    assert done.stdout == (
        "SDL is installed but cannot be loaded | "
        f"Install it again: {sys.executable} -m pip install --force-reinstall pysdl2 pysdl2-dll\n"
    )


def test_the_room_loads_without_sdl() -> None:
    program = "import sys, profiles.live.reader; print('sdl2' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True)
    assert done.stdout == "False\n"


BOXES = (
    FoundBox(1, "Helm", "1209", "0001", serial="A1"),
    FoundBox(2, "Helm", "1209", "0001", serial="A2"),
    FoundBox(3, "Helm", "1209", "0001"),
    FoundBox(4, "Other", "1209", "0001"),
    FoundBox(5, "Helm", "1209", "0002"),
)


@pytest.mark.parametrize(
    ("identity", "found"),
    [
        (None, [1, 2, 3, 4, 5]),
        (UsbIdentity(vendor="1209", product="0001"), [1, 2, 3, 4]),
        (UsbIdentity(vendor="1209", product="0001", serial="A2"), [2]),
        (UsbIdentity(vendor="1209", product="0001", serial="B9"), [3, 4]),
        (UsbIdentity(vendor="1209", product="0002", serial="B9", name="Helm"), [5]),
        (UsbIdentity(vendor="1209", product="0001", name="Other"), [4]),
        (UsbIdentity(vendor="ffff", product="0001"), []),
    ],
)
def test_a_box_is_found_by_its_identity(identity: UsbIdentity | None, found: list[int]) -> None:
    assert [box.instance for box in match_boxes(BOXES, identity)] == found


HELM = UsbIdentity(vendor="1209", product="0001", serial="A1", maker="Sea works", name="Helm desk")


@pytest.mark.parametrize("name", ["Helm desk", "Sea works Helm desk", ""])
@pytest.mark.parametrize("serial", ["A1", "", "E6614103E7452D2F"])
def test_every_way_in_which_a_host_may_show_the_box_is_taken(name: str, serial: str) -> None:
    """With the maker before its name (Linux, usbhid), without serial number, or with the chip's."""
    assert match_boxes([FoundBox(1, name, "1209", "0001", serial=serial)], HELM)


@pytest.mark.parametrize("maker", ["", "M" * 126])
def test_a_name_that_was_cut_on_its_way_is_taken(maker: str) -> None:
    """USB carries 126 units; Linux keeps 127 bytes of the maker's name, a space and the name
    (`name` of struct hid_device, include/linux/hid.h)."""
    identity = UsbIdentity(vendor="1209", product="0001", maker=maker or None, name="N" * 140)
    for shown in ("N" * 126, f"{maker} {'N' * 126}".strip()[:127]):
        assert match_boxes([FoundBox(1, shown, "1209", "0001")], identity)
    assert match_boxes([FoundBox(1, "N" * 20, "1209", "0001")], identity) == ()


@pytest.mark.parametrize(
    "box",
    [
        FoundBox(1, "Helm desk", "1209", "0002", serial="A1"),
        FoundBox(1, "Helm desk", "ffff", "0001", serial="A1"),
        FoundBox(1, "Winch desk", "1209", "0001", serial="A2"),
        FoundBox(1, "Winch desk", "1209", "0001"),
    ],
)
def test_a_stranger_is_not_taken(box: FoundBox) -> None:
    assert match_boxes([box], HELM) == ()


def test_the_box_with_the_serial_number_is_taken_before_its_twin() -> None:
    twins = [FoundBox(at, "Helm desk", "1209", "0001", serial=f"A{at}") for at in (2, 1)]

    assert match_boxes(twins, HELM) == (twins[1],)


def test_a_box_is_followed_by_its_serial_number_where_it_has_one() -> None:
    assert follow_box(BOXES[0], FoundBox(9, "Helm", "1209", "0001", serial="A1"))
    assert not follow_box(BOXES[0], FoundBox(9, "Helm", "1209", "0001", serial="A2"))
    assert follow_box(BOXES[2], FoundBox(9, "Helm", "1209", "0001"))
    assert not follow_box(BOXES[2], FoundBox(9, "Helm", "1209", "0002"))
