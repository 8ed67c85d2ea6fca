"""The forward model against a netlist of named wires that shares no code with it."""

from collections.abc import Iterable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.facts.device import DeviceFacts
from profiles.live.faults import Fault, apply_all
from profiles.live.forward import Simulator
from profiles.live.plan import plan_test
from profiles.model import Contact, Device
from profiles.wiring.matrix import full_matrix, read
from tests.live.simulated import SimulatedBox, make_box
from tests.live.table import box, list_faults

BOXES = [(3, 4, diodes, driven) for diodes in (False, True) for driven in ("rows", "columns")]


def model_reads(device: Device, faults: Iterable[Fault], closed: set[Contact]) -> set[object]:
    """What the forward model reads, in the netlist's own words."""
    model = DeviceFacts(device).model
    simulator = Simulator(model, apply_all(model, tuple(faults)))
    reading = simulator.read(model.mask(closed))
    places: dict[int, object] = {model.points[contact]: contact for contact in model.single}
    for row in range(1, model.rows + 1):
        for column in range(1, model.columns + 1):
            places[model.point_at(row, column)] = (row, column)
    return {places[point] for point in range(reading.bit_length()) if reading >> point & 1}


@settings(max_examples=400, deadline=None)
@given(st.data())
def test_any_faults_and_any_contacts_read_as_the_netlist_does(data: st.DataObject) -> None:
    rows, columns, diodes, driven = data.draw(st.sampled_from(BOXES))
    device = make_box(rows, columns, diodes=diodes, driven=driven)
    model = DeviceFacts(device).model
    known = [fault for some in list_faults(model).values() for fault in some]
    faults = data.draw(st.lists(st.sampled_from(known), max_size=3, unique=True))
    closed = data.draw(st.sets(st.sampled_from(model.contacts), max_size=5))
    assert model_reads(device, faults, closed) == SimulatedBox(device, faults).scan(closed)


@given(st.data())
def test_a_faultless_box_reads_as_the_matrix_of_the_wiring_room(data: st.DataObject) -> None:
    device, model = box(3, 4, data.draw(st.booleans()))
    places = model.circuit.places
    closed = data.draw(st.sets(st.sampled_from(sorted(places)), max_size=6))
    diodes = model.circuit.matrix.diodes
    wanted = read(full_matrix(3, 4, diodes), {places[terminal] for terminal in closed})
    assert model_reads(device, (), closed) == wanted


def test_three_corners_show_the_fourth_without_diodes_and_not_with_them() -> None:
    """The case of Keyboard Matrix Help v1.1, 2000: A, B and D closed, C ghosts."""
    corners = {Contact("b12", "press"), Contact("b13", "press"), Contact("b22", "press")}
    plain, guarded = make_box(3, 4), make_box(3, 4, diodes=True)
    assert model_reads(plain, (), corners) == {(1, 2), (1, 3), (2, 2), (2, 3)}
    assert model_reads(guarded, (), corners) == {(1, 2), (1, 3), (2, 2)}


def hear(device: Device, faults: Iterable[Fault], key: str) -> dict[int, float] | set[int]:
    """What is heard in the step with this key."""
    model = DeviceFacts(device).model
    simulator = Simulator(model, apply_all(model, tuple(faults)))
    (step,) = [one for one in plan_test(device, "full") if one.key == key]
    told = simulator.hear(step, tuple(model.mask(frame) for frame in step.frames))
    return dict(told.counts) if step.gesture == "turn" else set(told.seen)


@pytest.mark.parametrize(
    ("faults", "clockwise", "anticlockwise"),
    [
        ((), {13: 10.0}, {14: 10.0}),
        ((Fault("turns-back", (0,)),), {14: 10.0}, {13: 10.0}),
        ((Fault("multiplies", (0, 1)),), {13: 20.0}, {14: 20.0}),
        ((Fault("offset", (1,)),), {14: 10.0}, {15: 10.0}),
        ((Fault("open", (11,)),), {}, {}),
    ],
)
def test_a_rotary_counts_by_its_gray_code(
    faults: tuple[Fault, ...], clockwise: dict[int, float], anticlockwise: dict[int, float]
) -> None:
    device = make_box(3, 4)
    assert hear(device, faults, "turn trim.clockwise") == clockwise
    assert hear(device, faults, "turn trim.anticlockwise") == anticlockwise


def small_device(controls: dict[str, dict[str, object]]) -> Device:
    common = {"label": "X", "position": [10.0, 10.0], "hole": 10.0}
    return Device.model_validate(
        {
            "format": 1,
            "device": {"id": "small", "name": "Small"},
            "plate": {"width": 100.0, "height": 100.0},
            "controls": {name: {**common, **given} for name, given in controls.items()},
        }
    )


def test_edges_pulse_at_each_change_and_states_stay() -> None:
    device = small_device(
        {
            "pump": {
                "kind": "latching",
                "reports": "edges",
                "pin": "2",
                "inputs": {"on": 1, "off": 2},
            },
            "lamp": {"kind": "latching", "pin": "3", "inputs": {"on": 3, "off": 4}},
        }
    )
    assert hear(device, (), "rest") == {4}
    assert hear(device, (), "put-on pump.on") == {1, 4}
    assert hear(device, (), "put-off pump.off") == {2, 4}
    assert hear(device, (), "put-on lamp.on") == {3}
    assert hear(device, (), "put-off lamp.off") == {4}


def test_a_selector_is_down_at_one_position_at_a_time() -> None:
    numbers = {"position-1": 1, "position-2": 2, "position-3": 3}
    pins = {"position-1": "2", "position-2": "3", "position-3": "4"}
    device = small_device(
        {"mode": {"kind": "selector", "positions": 3, "inputs": numbers, "pins": pins}}
    )
    assert hear(device, (), "rest") == {1}
    assert hear(device, (), "select mode.position-2") == {2}
    assert hear(device, (), "select mode.position-3") == {3}
    assert hear(device, (), "select mode.position-1") == {1}


def test_a_selector_that_reports_edges_pulses_on_its_way_back() -> None:
    numbers = {"position-1": 1, "position-2": 2, "position-3": 3}
    pins = {"position-1": "2", "position-2": "3", "position-3": "4"}
    selector: dict[str, object] = {
        "kind": "selector",
        "positions": 3,
        "inputs": numbers,
        "pins": pins,
    }
    device = small_device({"mode": {**selector, "reports": "edges"}})
    assert hear(device, (), "rest") == set()
    assert hear(device, (), "select mode.position-3") == {3}
    assert hear(device, (), "select mode.position-1") == {1, 2}
