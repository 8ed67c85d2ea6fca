"""Words on the plate: too small, too pale, too wide, not in the typeface, or for nothing."""

from collections.abc import Iterator
from functools import lru_cache

from profiles.checks.base import quote, report
from profiles.facts.device import DeviceFacts
from profiles.facts.survey import Survey
from profiles.model import Finding, Related, Spot

_JOINT = " / "
"""Between the legends of one contact, as on the sheets."""


def check_sizes(survey: Survey) -> Iterator[Finding]:
    """Report letters below the readable height."""
    for device in survey.devices:
        plate = device.device.plate
        sizes: list[tuple[str, float, Spot]] = []
        if plate.label_height is not None:
            spot = device.spot("plate", "label_height")
            sizes.append(("legends", plate.label_height, spot))
        for place, engraving in enumerate(plate.engravings):
            spot = device.spot("plate", "engravings", place, "height")
            sizes.append((quote(engraving.text), engraving.height, spot))
        if not sizes:
            continue
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


def check_contrast(survey: Survey) -> Iterator[Finding]:
    """Report plates whose ink is too near their colour."""
    for device in survey.devices:
        plate = device.device.plate
        if (plate.colour, plate.ink) == ("#ffffff", "#000000"):
            continue
        from profiles.plate.legibility import CONTRAST_TEXT, contrast

        ratio = contrast(plate.colour, plate.ink)
        if ratio < CONTRAST_TEXT:
            # Cut and not rounded, so that 4.499 is not shown as 4.50.
            shown = f"{int(ratio * 100) / 100:.2f}:1"
            yield report(
                "contrast-low",
                f"`{plate.ink}` on `{plate.colour}` has contrast {shown}, "
                f"below {CONTRAST_TEXT:g}:1",
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
            for contact, words in value.labels.items():
                yield words, device.spot("controls", control, "labels", contact)
        for place, engraving in enumerate(device.device.plate.engravings):
            yield engraving.text, device.spot("plate", "engravings", place, "text")
    for key, application in survey.applications:
        for action_id, action in application.actions.items():
            word = "name" if action.legend is None else "legend"
            yield action.short, Spot(key, ("actions", action_id, word))
    for link in survey.links:
        for binding in link.bound:
            if binding.use.legend is not None:
                yield binding.use.legend, binding.spot


def check_labels(survey: Survey) -> Iterator[Finding]:
    """Report words for contacts that have no input, and labels in which nothing shows."""
    for device in survey.devices:
        for control, value in device.controls.items():
            if not any(sign.isprintable() and not sign.isspace() for sign in value.label):
                yield report(
                    "label-names-nothing",
                    f"the label of `{control}` shows nothing",
                    "Write words that can be seen",
                    device.spot("controls", control, "label"),
                )
            for contact, words in value.labels.items():
                if device.reported and (control, contact) not in device.reported:
                    yield report(
                        "label-names-nothing",
                        f"{quote(words)} names {device.name(control, contact)}, which has no input",
                        "Give the contact an input, or remove the words",
                        device.spot("controls", control, "labels", contact),
                    )


_Words = dict[tuple[str, str], tuple[str, Spot]]
"""Words and where they are written, by control and contact."""


def check_widths(survey: Survey) -> Iterator[Finding]:
    """Report words that find no place beside their control.

    Long words are picked by a rough estimate; the layout of the sheets decides about them, with
    all words of their row. Words crowded out by other rows are reported when the sheet is printed.
    """
    for device in survey.devices:
        fixed = {
            (control, ""): (value.label, device.spot("controls", control, "label"))
            for control, value in device.controls.items()
        }
        yield from _find_too_wide(device, fixed)
    for link in survey.links:
        for device in link.devices:
            least = min(device.letter_rooms.values(), default=0)
            if not any(len(binding.legend) > least for binding in link.bound):
                continue
            legends: _Words = {}
            for (held, acting), bindings in link.slots.items():
                if acting.device == device.id and not held:
                    words = dict.fromkeys(binding.legend for binding in bindings)
                    text = bindings[0].legend if len(words) == 1 else _JOINT.join(words)
                    legends[acting.control, acting.contact] = (text, bindings[0].spot)
            yield from _find_too_wide(device, legends)


def _find_too_wide(device: DeviceFacts, words: _Words) -> Iterator[Finding]:
    rooms = device.letter_rooms
    long = {
        control
        for (control, _), (text, _) in words.items()
        if len(text) > rooms.get(control, len(text)) and _longest(text) > rooms[control]
    }
    for row in device.rows if long else ():
        if long.isdisjoint(row):
            continue
        from profiles.plate.labels import Legend, label_id, place_legends

        legends, spots = [], {}
        for (control, contact), (text, spot) in words.items():
            if control in row:
                legend = Legend(control, contact, text)
                legends.append(legend)
                spots[label_id(legend)] = spot
        for missing in place_legends(device.device, legends).unplaced:
            spot = spots[missing.id]
            yield report(
                "legend-too-wide",
                f"{quote(missing.text)} does not fit beside `{missing.id}`",
                "Give a shorter legend, or make room on the plate",
                spot,
                about=missing.id if spot.document != device.id else "",
            )


@lru_cache(maxsize=4096)
def _longest(text: str) -> int:
    """Letters of the longest of at most three lines, as evenly as words allow, about."""
    words = max(map(len, text.split()), default=0)
    return max(words, -(-len(text) // 3))


CHECKS = (check_sizes, check_contrast, check_letters, check_labels, check_widths)
