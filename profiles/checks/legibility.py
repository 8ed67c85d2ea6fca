"""Words on the plate: too small, too pale, too wide, not in the typeface, or for nothing."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from profiles.checks.base import by_device, quote, report
from profiles.facts.device import DeviceFacts
from profiles.facts.profile import ProfileFacts
from profiles.facts.survey import Survey
from profiles.model import Axis, Finding, Related, Spot
from profiles.text.sign_words import spell_signs

if TYPE_CHECKING:
    from profiles.facts.legend_labels import Label


@by_device
def check_sizes(device: DeviceFacts) -> Iterator[Finding]:
    """Report letters below the readable height."""
    plate = device.device.plate
    sizes: list[tuple[str, float, Spot]] = []
    if plate.label_height is not None:
        spot = device.spot("plate", "label_height")
        sizes.append(("legends", plate.label_height, spot))
    for place, engraving in enumerate(plate.engravings):
        spot = device.spot("plate", "engravings", place, "height")
        sizes.append((quote(engraving.text), engraving.height, spot))
    if not sizes:
        return
    from profiles.plate.legibility import readable_height

    least = readable_height(plate.viewing_distance)
    for words, height, spot in sizes:
        if height < least:
            yield report(
                "label-unreadable",
                f"{words} of {height:g} mm cannot be read from {plate.viewing_distance:g} mm",
                f"Raise the height to {-(-least * 10 // 1) / 10:g} mm or more",
                spot,
                [Related("the viewing distance", device.spot("plate", "viewing_distance"))],
            )


@by_device
def check_contrast(device: DeviceFacts) -> Iterator[Finding]:
    """Report plates whose ink is too near their colour."""
    plate = device.device.plate
    if (plate.colour, plate.ink) == ("#ffffff", "#000000"):
        return
    from profiles.plate.legibility import CONTRAST_TEXT, contrast

    ratio = contrast(plate.colour, plate.ink)
    if ratio < CONTRAST_TEXT:
        # Cut and not rounded, so that 4.499 is not shown as 4.50.
        shown = f"{int(ratio * 100) / 100:.2f}:1"
        yield report(
            "contrast-low",
            f"`{plate.ink}` on `{plate.colour}` has contrast {shown}, below {CONTRAST_TEXT:g}:1",
            "Choose a darker or lighter ink",
            device.spot("plate", "ink"),
            [Related("the plate's colour", device.spot("plate", "colour"))],
        )


def check_letters(survey: Survey) -> Iterator[Finding]:
    """Report words with letters that the typeface lacks, where the words are written."""
    for words, spot in _all_words(survey):
        if words.isascii() and words.isprintable():
            continue
        from profiles.lettering import REGULAR

        missing = REGULAR.missing(words.replace("\n", " "))
        if missing:
            codes = [f"U+{ord(letter):04X}" for letter in missing]
            more = f" and {len(codes) - 3} more" if len(codes) > 3 else ""
            yield report(
                "letters-missing",
                f"{quote(words)} holds {', '.join(codes[:3])}{more}, not in the typeface",
                "Write it with other letters",
                spot,
            )


def _all_words(survey: Survey) -> Iterator[tuple[str, Spot]]:
    """Everything that is printed on a plate, where it is written."""
    for device in survey.devices:
        for control, value in device.controls.items():
            yield value.label, device.spot("controls", control, "label")
            if value.short is not None:
                yield value.short, device.spot("controls", control, "short")
            if isinstance(value, Axis) and value.scale is not None:
                for place, words in enumerate(value.scale.marks):
                    yield words, device.spot("controls", control, "scale", "marks", place)
            for contact, words in value.labels.items():
                yield words, device.spot("controls", control, "labels", contact)
        for place, engraving in enumerate(device.device.plate.engravings):
            yield engraving.text, device.spot("plate", "engravings", place, "text")
    for key, application in survey.applications:
        for action_id, action in application.actions.items():
            word = "name" if action.legend is None else "legend"
            yield action.words, Spot(key, ("actions", action_id, word))
            if action.short is not None:
                yield action.short, Spot(key, ("actions", action_id, "short"))
    for link in survey.links:
        for binding in link.bound:
            if binding.use.legend is not None:
                yield binding.use.legend, binding.spot
            if binding.use.short is not None:
                yield binding.use.short, binding.spot


@by_device
def check_labels(device: DeviceFacts) -> Iterator[Finding]:
    """Report words for contacts that have no input and are no position, and labels in which nothing
    shows."""
    for control, value in device.controls.items():
        if not any(sign.isprintable() and not sign.isspace() for sign in value.label):
            yield report(
                "label-names-nothing",
                f"the label of `{control}` shows nothing",
                "Write words that can be seen",
                device.spot("controls", control, "label"),
            )
        for contact, words in value.labels.items():
            is_there = contact in value.positions_held or (control, contact) in device.reported
            if device.reported and not is_there:
                yield report(
                    "label-names-nothing",
                    f"{quote(words)} names {device.name(control, contact)}, which has no input",
                    "Give the contact an input, or remove the words",
                    device.spot("controls", control, "labels", contact),
                )


def check_places(survey: Survey) -> Iterator[Finding]:
    """Report words that find no place beside their control, as the sheets would print them.

    Nothing is laid out where every control has one label so short that it surely fits.
    """
    for device in survey.devices:
        fixed = [(key, value.label) for key, value in device.controls.items()]
        several = [(key, "") for key, value in device.controls.items() if value.labels]
        if not _surely_fit(device, [*fixed, *several]):
            yield from _find_unplaced(device, None)
    for link in survey.links:
        for device in link.devices:
            if not _surely_fit(device, _join_words(link, device)):
                yield from _find_unplaced(device, link)


def _join_words(link: ProfileFacts, device: DeviceFacts) -> list[tuple[str, str]]:
    """The words of every label that a profile gives a device in one line, by control.

    Labels that go beside their control or around it count as two.
    """
    labels = {key: value.label for key, value in device.controls.items()}
    found: list[tuple[str, str]] = []
    named = set[str]()
    for (held, acting), bindings in link.slots.items():
        if acting.device == device.id:
            text = bindings[0].legend
            if len(bindings) > 1:
                text = " / ".join(dict.fromkeys(binding.legend for binding in bindings))
            if held:
                text = " + ".join([*(labels.get(key.control, key.control) for key in held), text])
            found.append((acting.control, text))
            if acting.contact not in ("press", "on"):
                found.append((acting.control, text))
        if held:
            named.update(key.control for key in held if key.device == device.id)
    alone = {control for control, _ in found}
    return [*found, *((key, labels[key]) for key in named - alone)]


def _surely_fit(device: DeviceFacts, words: Sequence[tuple[str, str]]) -> bool:
    rooms = device.label_rooms
    if len(dict(words)) < len(words):
        return False
    long = [(control, text) for control, text in words if 1.1 * len(text) > rooms[control]]
    if not long:
        return True
    from profiles.lettering import REGULAR

    return all(REGULAR.width(text) <= rooms[control] for control, text in long)


def _find_unplaced(device: DeviceFacts, link: ProfileFacts | None) -> Iterator[Finding]:
    from profiles.facts.legend_layout import lay_out_legend, legend_fits

    links = [link.link] if link else []
    if legend_fits(device.device, links):
        return
    layout = lay_out_legend(device.device, links)
    placement = layout.placement
    missing = [(one.id, one.text, "nothing", one.cause) for one in placement.unplaced]
    keyed = [(one.id, one.text, f"number {one.number}", one.cause) for one in placement.keyed]
    dropped = [
        (one.id, row.text, "only its other words", one.cause)
        for one in placement.placed
        for row in layout.left_out(one)
    ]
    elsewhere = [
        (label.id, label.text, "a line to words elsewhere", label.cause)
        for label in placement.placed
        if label.means == "leader" and _is_by_hand(device, layout.label(label.id))
    ]
    for id_, text, instead, cause in (*keyed, *missing, *dropped, *elsewhere):
        spot, text = layout.label(id_).spot, spell_signs(text)
        yield report(
            "label-without-room",
            f"{quote(text)} has no place beside `{id_}`, which gets {instead}: {cause}",
            "Give shorter words, or make room on the plate",
            spot,
            about=id_ if spot.document != device.id else "",
        )


def _is_by_hand(device: DeviceFacts, label: "Label") -> bool:
    """Whether the owner gave the place of a label."""
    control = device.controls[label.control]
    has_place = control.label_at is not None or control.label_place is not None
    return has_place and label.series == 0 and label.contact in ("", control.main_contact)


CHECKS = (check_sizes, check_contrast, check_letters, check_labels, check_places)
