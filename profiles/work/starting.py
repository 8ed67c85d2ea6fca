"""Whole new files, from what the library holds: a device laid out, an application from a list.

Each function returns the text of a TOML file, short enough to be edited by hand: parts once, one
line a control or action.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from math import ceil
from typing import Any, NamedTuple

from profiles.files.convert import Converted, convert_file
from profiles.files.documents import decode_text, find_format, parse_text, read_bytes
from profiles.files.edit import STILL_TO_BIND
from profiles.files.library import LoadedLibrary
from profiles.files.lists import Pasted, make_id
from profiles.files.starters import StarterError
from profiles.files.toml_edit import set_value, write_key, write_value
from profiles.files.validate import validate_content
from profiles.model import Application, Device, Library, Link
from profiles.plan.carry import Carried, Uses, bind_equal_words, carry
from profiles.plan.layout import SCREW, LayoutError, Size, lay_out, stock_parts
from profiles.plan.wires import Diodes, WiringPlanError, plan_wiring, put_values
from profiles.report.document import Column, Paragraph, Report, Table
from profiles.text.inert import escape_controls
from profiles.text.prose import count, list_some
from profiles.text.suggest import closest
from profiles.wiring.boards import find_board, list_boards
from profiles.wiring.settling import slowest_rise
from profiles.work.drift import Taken
from profiles.work.starter_comments import list_unbound, tell_contacts

HEAD = """\
# A device, laid out by `platebook new device`. Lengths are mm. A position is [x, y] of the centre,
# from the plate's lower left corner seen from the front. Change what stands here, then run
# `platebook check`.

format = 1
"""

LIST_HEAD = """\
# Made from a list of actions. Say of each, where it matters: behaviour = "held", "follows" or
# "step", need = "must" or "want", legend = "SHORT". Then run `platebook check`.

format = 1
"""


MOST_ACTIONS = 5_000
"""Of a new application: so many have room for all their keys in one file."""

PROFILE_HEAD = """\
# What each contact does. Write the action between the quotes and remove the # mark in front.
# A chord is "shift + horn"; words of its own for print are { action = "...", legend = "..." }.

format = 1
"""


class StartError(StarterError):
    """A file that cannot be made from what was given; `remedy` is a sentence."""

    def __init__(self, message: str, remedy: str = "") -> None:
        super().__init__(message)
        self.remedy = remedy


class Started(NamedTuple):
    """The text of a new file, and what the user should know."""

    text: str
    notes: tuple[str, ...] = ()


def start_device(
    library: Library,
    header: Mapping[str, str],
    rows: Sequence[Sequence[str]],
    pasted: Pasted | None,
    pitch: Size | None,
    board: str,
    diodes: Diodes,
) -> Started:
    """Return a device with rows of parts on its plate, and all its wiring.

    `header` has `id` and `name`; the labels of a pasted list are given out in the order of reading.

    Raises:
        StartError: where a part is unknown, fronts would overlap, or no pins can be had.
    """
    shelf = {
        key: {name: one for name, one in part.part.plain().items() if name != "id"}
        for key, part in library.parts.items()
    }
    parts = {**stock_parts(), **shelf}
    named = [part for row in rows for part in row]
    for part in named:
        if part not in parts:
            near = closest(part, parts)
            hint = f"Did you mean `{near}`?" if near else f"There are {list_some(list(parts), 20)}."
            raise StartError(f"no part `{part}`", hint)
        if lacking := [key for key in ("kind", "hole") if key not in parts[part]]:
            raise StartError(f"part `{part}` has no `{lacking[0]}`", "Give it one first.")
    try:
        laid = lay_out(rows, parts, pitch)
    except LayoutError as error:
        raise StartError(str(error), error.remedy) from None
    if board not in (known := list_boards(library)):
        near = closest(board, known)
        lists = "`platebook boards` lists them; describe your own with"
        hint = f"Did you mean `{near}`?" if near else f"{lists} `platebook new board {board}`."
        if library.may_define("board", board):
            hint = "Correct its file first: `platebook check` names what is wrong."
            raise StartError(f"board `{board}` cannot be used", hint)
        raise StartError(f"no board `{board}`", hint)
    notes, labels = [], [] if pasted is None else [one.name for one in pasted.entries]
    if pasted is not None and pasted.headings:
        notes.append(f"read as headings, which are no labels: {_quote(pasted.headings)}")
    if pasted is not None and len(labels) != len(named):
        notes.append(f"{count(len(labels), 'label')} for {count(len(named), 'control')}")
    controls: dict[str, dict[str, Any]] = {}
    for number, (part, place) in enumerate(zip(named, laid.places, strict=True), 1):
        label = labels[number - 1] if number <= len(labels) else str(number)
        key = make_id(label if number <= len(labels) else f"c{number}", controls, "control")
        controls[key] = {"part": part, "label": label, "position": list(place)}
    content: dict[str, Any] = {
        "format": 1,
        "device": dict(header),
        "plate": {
            "width": laid.width,
            "height": laid.height,
            "corner_radius": 4.0,
            "screws": [{"position": list(at), **SCREW} for at in laid.screws],
        },
        "wiring": {"board": board},
        "parts": {part: parts[part] for part in dict.fromkeys(named) if part not in shelf},
        "controls": controls,
    }
    device = _validate(content, library)
    assert isinstance(device, Device)
    try:
        plan = plan_wiring(library, device, diodes, tidy=True)
    except WiringPlanError as error:
        raise StartError(str(error), error.remedy) from None
    put_values(content, plan.edits)
    rise = slowest_rise(plan.device, find_board(library, board))
    if rise is not None and rise.time > plan.device.wiring.settle:
        content["wiring"]["settle"] = float(ceil(rise.time))
    _validate(content, library)
    lines = [HEAD]
    for key in ("device", "plate", "wiring"):
        lines += [f"[{key}]", *write_entries(content[key]), ""]
    for key, part in content["parts"].items():
        lines += [f"[parts.{key}]", *write_entries(part), ""]
    lines += ["[controls]", *write_entries(controls)]
    return Started("\n".join(lines) + "\n", (*notes, *plan.lacks))


def _quote(names: Sequence[str]) -> str:
    return list_some([f"`{name}`" for name in names], 20)


def start_application(header: Mapping[str, str], pasted: Pasted) -> Started:
    """Return an application with an action for each entry of a list, its heading as its group.

    Raises:
        StartError: where a name is too long, or the list is empty or of too many.
    """
    if len(pasted.entries) > MOST_ACTIONS:
        raise StartError(
            f"the list names {len(pasted.entries):,} actions, and an application takes "
            f"{MOST_ACTIONS:,} at most",
            "Keep those that you bind.",
        )
    actions: dict[str, dict[str, Any]] = {}
    groups: dict[str, str] = {}
    taken = set[str]()
    for name, heading in pasted.entries:
        if heading and heading not in groups:
            groups[heading] = make_id(heading, taken, "group")
            taken.add(groups[heading])
        group = {"group": groups[heading]} if heading else {}
        actions[make_id(name, actions, "action")] = {"name": name, **group}
    if not actions:
        raise StartError("the list names no action", "Write one name a line.")
    content = {"format": 1, "application": dict(header), "actions": actions}
    _validate(content)
    lines = [LIST_HEAD, "[application]", *write_entries(header), ""]
    lines += ["[actions]", *write_entries(actions)]
    notes, times = [], Counter(one.name for one in pasted.entries)
    if repeated := [name for name, many in times.items() if many > 1]:
        notes.append(f"named more than once, each with an id of its own: {_quote(repeated)}")
    if empty := [heading for heading in pasted.headings if heading not in groups]:
        notes.append(f"headings without an action: {_quote(empty)}")
    return Started("\n".join(lines) + "\n", tuple(notes))


def copy_application(
    theirs: LoadedLibrary, like: Application, header: Mapping[str, str | None]
) -> Started:
    """Return an application of another library under the id of `header`, comments and order kept.

    Its name stays where `header` has None for it; the comments of YAML cannot come along.

    Raises:
        FileFaultError: where the file cannot be read any more.
        StartError: where the id or name cannot be used.
    """
    source = theirs.sources[like.id].path
    if find_format(source) == "toml":
        converted = Converted(decode_text(read_bytes(source)), ())
    else:
        converted = convert_file(source, "toml")
    text = converted.text
    for key, value in header.items():
        if value is not None:
            text = set_value(text, ("application", key), value)
    _validate(parse_text(text, "toml"))
    return Started(text, converted.notes)


def report_actions(application: Application) -> Report:
    """Return what an application can do: an action a row."""
    rows = tuple(
        (key, one.name, one.group or "–", one.behaviour, one.need)
        for key, one in application.actions.items()
    )
    columns = (
        *(Column("action", "action", wraps=True), Column("name", "name", wraps=True)),
        *(Column("group", "group", wraps=True), Column("behaviour", "behaviour")),
        Column("need", "need"),
    )
    words = f"{count(len(rows), 'action')} would be copied."
    table = Table(columns, rows, key="actions", lead=1)
    return Report("Application", (table, Paragraph(words)), application.name)


def start_profile(
    library: Library,
    header: Mapping[str, str],
    like: Link | None = None,
    taken: Taken | None = None,
) -> Started:
    """Return a profile with a line for each contact, and the actions still to bind.

    Bound are those that `taken` has, then those that the profile `like` carries over; without
    `taken` also those whose name is a label.
    `header` has `id`, `name`, `application` and `device`, which the library has.

    Raises:
        StartError: where the id or name cannot be used.
    """
    device = library.devices[header["device"]]
    application = library.applications[header["application"]]
    carried = Carried({}, ())
    if like is not None:
        carried = carry(like, device, application)
    bindings = {**carried.bindings, **(taken.bindings if taken else {})}
    done = {use["action"] for uses in bindings.values() for use in uses}
    equal = {} if taken else bind_equal_words(device, application)
    for key, uses in equal.items():
        if key not in bindings and uses[0]["action"] not in done:
            bindings[key] = uses
            done.add(uses[0]["action"])
    _validate({"format": 1, "profile": dict(header), "bindings": _shorten(bindings)})
    lines = [PROFILE_HEAD, "[profile]", *write_entries(header), "", "[bindings]"]
    for key, told in tell_contacts(device).items():
        if key in bindings:
            entry = _shorten({key: bindings.pop(key)})[key]
            lines.append(f"{write_key(key)} = {write_value(entry)}  # {told}")
        else:
            lines.append(f'# {write_key(key)} = ""  # {told}')
    lines += [f"{write_key(key)} = {write_value(one)}" for key, one in _shorten(bindings).items()]
    if rest := list_unbound(application.actions, done):
        lines += ["", STILL_TO_BIND, *rest]
    notes = list(taken.notes) if taken else []
    if like is not None and carried.lost:
        names = [f"`{escape_controls(one.key)}`" for one in carried.lost]
        notes.append(
            f"not carried over from `{like.profile.id}`: {list_some(list(dict.fromkeys(names)))}"
        )
    return Started("\n".join(lines) + "\n", tuple(notes))


def report_carried(like: Link, device: Device, application: Application) -> Report:
    """Return what each binding of another profile becomes on this device, side by side."""
    carried = carry(like, device, application)
    rows = tuple(
        (
            row.bound.key,
            row.bound.action.name,
            row.key or "–",
            application.actions[row.action].name if row.action else "–",
            row.why,
        )
        for row in carried.rows
    )
    columns = (
        *(Column("there", "there", wraps=True), Column("does there", "does_there", wraps=True)),
        *(Column("here", "here", wraps=True), Column("does here", "does_here", wraps=True)),
        Column("found by", "why", wraps=True),
    )
    kept = len(carried.rows) - len(carried.lost)
    words = f"{kept} of {count(len(carried.rows), 'binding')} would be carried over."
    table = Table(columns, rows, key="bindings", lead=1)
    subtitle = f"{like.profile.name}, on {device.name} for {application.name}"
    return Report("Side by side", (table, Paragraph(words)), subtitle)


def _shorten(bindings: Uses) -> dict[str, Any]:
    """Return bindings in the shortest form that a file may give them."""
    found: dict[str, Any] = {}
    for key, uses in bindings.items():
        short: list[Any] = [use["action"] if len(use) == 1 else use for use in uses]
        found[key] = short[0] if len(short) == 1 else short
    return found


def _validate(content: dict[str, Any], library: Library | None = None) -> Any:
    """Return the content as the model's value.

    Raises:
        StartError: where the model refuses it.
    """
    try:
        return validate_content(content, library=library)
    except ExceptionGroup as group:
        raise StartError("\n  ".join(str(exception) for exception in group.exceptions)) from None


def write_entries(table: Mapping[str, Any]) -> list[str]:
    """Return a line for each key; of a list of tables each member gets one."""
    lines = []
    for key, value in table.items():
        if isinstance(value, list) and value and isinstance(value[0], dict):
            lines += [f"{write_key(key)} = [", *(f"    {write_value(one)}," for one in value), "]"]
        else:
            lines.append(f"{write_key(key)} = {write_value(value)}")
    return lines
