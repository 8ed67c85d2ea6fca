"""`platebook handover`: a page or a booklet for somebody who did not build the box."""

from pathlib import Path

import click

from profiles.cli.libraries import library_option, open_sound_library
from profiles.cli.output import date_option, put_outputs, replace_option, show_path, write
from profiles.cli.remarks import describe_remarks, plain_remarks
from profiles.report.data import dump_json
from profiles.sheets.sheet import Remark


@click.command(name="handover")
@click.argument("device", required=False)
@library_option
@click.option(
    "--profile",
    "profiles",
    multiple=True,
    metavar="ID",
    help="A profile to hand over; may be given several times.  [default: all of the device]",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(["html", "pdf"]),
    default="html",
    show_default=True,
    help="A page to touch, or a booklet to print.",
)
@click.option(
    "--paper", metavar="SIZE", help="With pdf: size of the booklet's paper.  [default: a4]"
)
@click.option(
    "--recording",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="With pdf: the recording of the last press test.",
)
@click.option(
    "--output",
    "-o",
    type=click.Path(path_type=Path, dir_okay=False),
    help="The file to write.  [default: DEVICE-handover.html or .pdf]",
)
@replace_option
@date_option
@click.option("--json", "as_json", is_flag=True, help="Print what was made as JSON.")
def command(
    device: str | None,
    library_option: str | None,
    profiles: tuple[str, ...],
    form: str,
    paper: str | None,
    recording: Path | None,
    output: Path | None,
    replace: bool,
    today: str,
    as_json: bool,
) -> None:
    """Make a page that explains DEVICE to somebody who did not build it.

    The page is one HTML file for a phone or tablet beside the box. It needs no network: choose an
    application, touch a control to read what it does, or search for a function and see its control
    light up. The PDF is a booklet: plate and card for each application, wiring, parts, press test.
    """
    from profiles.work.handing_over import choose_box, make_booklet, make_page
    from profiles.work.outputs import Output

    for option, given in (("--recording", recording), ("--paper", paper)):
        if given is not None and form != "pdf":
            raise click.UsageError(f"{option} goes with --format pdf")
    loaded = open_sound_library(library_option)
    box, links = choose_box(loaded.library, device, profiles)
    losses: list[Remark] = []
    if form == "html":
        data = make_page(box, links, today)
    else:
        data, remarks = make_booklet(
            loaded.library, box, links, date=today, paper=paper or "a4", recording=recording
        )
        losses = [remark for remark in remarks if remark.is_loss]
        describe_remarks(loaded, losses)
    path = output or Path(f"{box.id}-handover.{form}")
    put_outputs([Output(path, data, form)], replace=replace)
    if as_json:
        members = {
            "format": 1,
            "device": box.id,
            "profiles": [link.profile.id for link in links],
            "files": [str(path)],
            "remarks": plain_remarks(loaded, losses),
        }
        write(dump_json(members))
    else:
        write(show_path(path))
