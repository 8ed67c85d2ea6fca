"""`platebook press measurements`: bounce, press times and turns of a recording, with plots."""

import shutil
from pathlib import Path

import click

from profiles.cli.exits import Unusable
from profiles.cli.libraries import library_option, open_sound_library
from profiles.cli.output import (
    judge_outputs,
    note,
    put_outputs,
    replace_option,
    show_path,
    write,
    write_report,
)
from profiles.cli.press_running import replay_all
from profiles.drawing.svg import write_svg
from profiles.drawing.terminal import render_cells
from profiles.live.measurements import summarise
from profiles.live.recording import read_recording
from profiles.live.report import LIMITS, plot_measurements, report_measurements
from profiles.sheets.press_plots import stack_plots, without_grid
from profiles.sheets.writing import page_of
from profiles.text.inert import escape_controls
from profiles.work.names import find_named
from profiles.work.outputs import Output

COLUMNS = 80
"""Width of plots that go to no terminal."""


@click.command(name="measurements")
@click.argument("recording", type=click.Path(path_type=Path))
@library_option
@click.option("--svg", type=click.Path(path_type=Path), metavar="FILE", help="Write the plots too.")
@replace_option
@click.option("--no-plots", is_flag=True, help="Tables only.")
@click.option("--json", "as_json", is_flag=True, help="Print the measurements as JSON.")
def command(
    recording: Path,
    library_option: str | None,
    svg: Path | None,
    replace: bool,
    no_plots: bool,
    as_json: bool,
) -> None:
    """Bounce, press times, pulses per detent and the fastest lossless turn of RECORDING."""
    judge_outputs([(svg, "svg")] if svg else [], replace=replace)
    header = read_recording(recording, "press-test").header
    library = open_sound_library(library_option).library
    device = find_named("device", header.device, library.devices)
    (test,) = replay_all(device, [recording])
    measurements = summarise(test.session.observations)
    plots = plot_measurements(measurements, device.wiring.debounce)
    write_report(report_measurements(device, measurements), as_json=as_json)
    if not as_json and measurements:
        width = min(shutil.get_terminal_size((COLUMNS, 24)).columns, 120)
        for plot in () if no_plots else plots:
            lines = render_cells(without_grid(plot), width).lines()
            shown = "\n".join(escape_controls(line).rstrip() for line in lines)
            write("\n" + shown.rstrip("\n"))
        write("\n" + LIMITS)
    if svg is None:
        return
    if not plots:
        raise Unusable(
            "there is nothing to plot in this recording", "Press or turn something first."
        )
    page = page_of(stack_plots(plots), has_ruler=False)
    data = write_svg(page, title=f"{device.name}: press test").data
    put_outputs([Output(svg, data, "svg")], replace=replace)
    note(f"plots: {show_path(svg)}")
