"""`platebook press measurements`: bounce, press times and turns of a recording, with plots."""

import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

from profiles.cli.exits import Unusable
from profiles.cli.libraries import library_option, open_sound_library
from profiles.cli.output import note, put_outputs, show_path, write
from profiles.work.names import find_named

if TYPE_CHECKING:
    from profiles.drawing.recorder import Drawing
    from profiles.live.measurements import Measurements
    from profiles.model import Device

COLUMNS = 80
"""Width of plots that go to no terminal."""


@click.command(name="measurements")
@click.argument("recording", type=click.Path(path_type=Path))
@library_option
@click.option("--svg", type=click.Path(path_type=Path), metavar="FILE", help="Write the plots too.")
@click.option("--no-plots", is_flag=True, help="Tables only.")
@click.option("--json", "as_json", is_flag=True, help="Print the measurements as JSON.")
def command(
    recording: Path, library_option: str | None, svg: Path | None, no_plots: bool, as_json: bool
) -> None:
    """Bounce, press times, pulses per detent and the fastest lossless turn of RECORDING."""
    from profiles.cli.press_recordings import read_named, replay_recordings
    from profiles.live.measurements import summarise
    from profiles.live.outcome import plain_measurements
    from profiles.live.report import plot_measurements

    header = read_named(recording, "press-test").header
    loaded = open_sound_library(library_option)
    device = find_named("device", header.device, loaded.library.devices)
    (session,) = replay_recordings(device, [recording]).sessions
    measurements = summarise(session.observations)
    plots = plot_measurements(measurements, device.wiring.debounce)
    if as_json:
        plain = {"format": 1, "device": device.id, **plain_measurements(measurements)}
        write(json.dumps(plain, indent=2))
    else:
        write(_render(device, measurements, () if no_plots else plots))
    if svg is not None:
        _write_svg(device, plots, svg)


def _render(device: "Device", measurements: "Measurements", plots: "tuple[Drawing, ...]") -> str:
    from profiles.live.report import describe_press, describe_turn
    from profiles.sheets.press_report import LIMITS, PRESS_HEADINGS, TURN_HEADINGS
    from profiles.sheets.text_table import render_table
    from profiles.text.inert import escape_controls

    parts = [escape_controls(f"{device.name} ({device.id})")]
    if measurements.turns:
        parts.append(
            render_table(TURN_HEADINGS, [describe_turn(one) for one in measurements.turns])
        )
    if measurements.presses:
        parts.append(
            render_table(PRESS_HEADINGS, [describe_press(one) for one in measurements.presses])
        )
    if len(parts) == 1:
        return f"{parts[0]}: nothing was pressed or turned in this recording"
    return "\n\n".join([*parts, *map(_plot, plots), LIMITS])


def _plot(plot: "Drawing") -> str:
    import shutil

    from profiles.drawing.terminal import render_cells
    from profiles.sheets.press_plots import without_grid
    from profiles.text.inert import escape_controls

    columns = min(shutil.get_terminal_size((COLUMNS, 24)).columns, 120)
    lines = render_cells(without_grid(plot), columns).lines()
    return "\n".join(escape_controls(line).rstrip() for line in lines).rstrip("\n")


def _write_svg(device: "Device", plots: "tuple[Drawing, ...]", path: Path) -> None:
    from profiles.drawing.svg import write_svg
    from profiles.sheets.press_plots import stack_plots
    from profiles.sheets.writing import page_of
    from profiles.work.outputs import Output

    if not plots:
        raise Unusable(
            "there is nothing to plot in this recording", "Press or turn something first."
        )
    page = page_of(stack_plots(plots), has_ruler=False)
    data = write_svg(page, title=f"{device.name}: press test").data
    put_outputs([Output(path, data, "svg")])
    note(f"plots: {show_path(path)}")
