"""Whatever a box is wired with: report, harness, bill and firmware end, or say why not."""

from contextlib import suppress

from hypothesis import given, settings

from profiles.firmware import CannotBuildError, interpreter_files, sketch_files
from profiles.model import Device, Library
from profiles.report.data import render_json
from profiles.sheets.bill import list_needs
from profiles.sheets.wiring_report import report_wiring
from profiles.wiring.box import harness_of
from profiles.wiring.circuit import pins_used_twice
from tests.checks.test_any_library import devices


@settings(max_examples=150, deadline=None)
@given(devices("box"))
def test_no_door_of_the_wiring_fails(device: Device) -> None:
    pins_used_twice(device)
    harness_of(device)
    list_needs(device)
    render_json(report_wiring(Library.of([device]), device))
    for write in (sketch_files, interpreter_files):
        with suppress(CannotBuildError):
            assert write(device)
