"""Input numbers learnt by pressing, put into the device file with its comments kept.

- `change_inputs`: the changes of a lesson, made in an open file
- `report_lesson`: what was learnt, and the difference that it makes
- `warn_of_numbering`: numbers that contradict the ones the file gives the matrix
"""

from difflib import unified_diff

from profiles.files.edit import FileEditor
from profiles.live.learn import Change, Lesson
from profiles.model import Device
from profiles.report.document import Facts, Paragraph, Report
from profiles.text.inert import escape_controls
from profiles.text.prose import count, join_words


def change_inputs(editor: FileEditor, device: Device, lesson: Lesson) -> None:
    """Make the changes in the file, not saved yet; a control keeps `input` or `inputs`, never both.

    Raises:
        EditError: if it cannot be done safely.
    """
    by_control: dict[str, list[Change]] = {}
    for change in lesson.changes:
        by_control.setdefault(change.contact.control, []).append(change)
    for name, changes in by_control.items():
        single = ("controls", name, "input")
        fields, main = editor.content["controls"][name], device.controls[name].main_contact
        if main is None or "input" not in fields or changes[0].path == single:
            for change in changes:
                editor.set(change.path, change.new)
        else:
            table = {change.contact.contact: change.new for change in changes}
            table.setdefault(main, fields["input"])
            editor.rename(single, "inputs")
            editor.set(("controls", name, "inputs"), table)


def report_lesson(device: Device, lesson: Lesson, before: str, editor: FileEditor) -> Report:
    """What was learnt; `before` is the text of the file before the changes."""
    lines = [
        f"{count(len(lesson.changes), 'number')} to change, "
        f"{len(lesson.right)} right already, {len(lesson.open)} left open"
    ]
    lines += [f"open: {contact}: {why}" for contact, why in lesson.open]
    for number, contacts in lesson.clashes:
        named = join_words([str(contact) for contact in contacts])
        lines.append(f"clash: input {number} would be that of {named}")
    blocks = [Paragraph("\n".join(lines), verbatim=True)]
    if before != editor.text:
        name = escape_controls(str(editor.path))
        old, new = before.splitlines(), editor.text.splitlines()
        difference = unified_diff(old, new, name, f"{name}, learnt", n=2, lineterm="")
        blocks.append(Paragraph("\n".join(map(escape_controls, difference)), verbatim=True))
    facts = {
        "device": device.id,
        "changes": [
            {
                "contact": str(change.contact),
                "old": change.old,
                "new": change.new,
                "path": change.path,
            }
            for change in lesson.changes
        ],
        "right": [str(contact) for contact in lesson.right],
        "open": [{"contact": str(contact), "why": why} for contact, why in lesson.open],
        "clashes": [
            {"input": number, "contacts": [str(contact) for contact in contacts]}
            for number, contacts in lesson.clashes
        ],
    }
    return Report("", (*blocks, Facts(facts)))


def warn_of_numbering(device: Device, lesson: Lesson) -> str:
    """That numbers would contradict those that the file's numbering gives the matrix, if any do."""
    if device.wiring.numbering is None:
        return ""
    against = [
        change
        for change in lesson.changes
        if change.contact.contact in device.controls[change.contact.control].crossing_by_contact
    ]
    if not against:
        return ""
    return (
        f"{count(len(against), 'number')} would contradict `numbering` in the file; "
        f"`platebook press test {escape_controls(device.id)}` tells whether a wire is "
        "wrong instead"
    )
