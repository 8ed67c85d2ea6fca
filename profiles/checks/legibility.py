"""Words on the plate: too small, too pale, too wide, not in the typeface, or for nothing."""

from collections.abc import Iterator
from functools import lru_cache

from profiles.checks.base import Check, quote, report
from profiles.facts.device import DeviceFacts
from profiles.facts.survey import LinkFacts, Survey
from profiles.model import Finding, Page, Related, Spot

LABEL_UNREADABLE = Page(
    code="label-unreadable",
    severity="warning",
    title="Letters are too small for the viewing distance",
    what="The wanted height of legends, or that of an engraving, is below what can be read from "
    "the plate's viewing distance. Heights are those of capitals, not font sizes.",
    why="Smaller letters are guessed, not read, and worse in dim light. Legends are printed no "
    "smaller than readable whatever is wanted.",
    example="[plate]\nviewing_distance = 600.0\nlabel_height = 2.0   # 2.6 mm needed",
    remedy="Raise the height, or lower the viewing distance if you sit closer.",
    source="NUREG-0700 Rev.3, 11.4.1.5-1: 15 minutes of arc at least, 20 preferred",
)

CONTRAST_LOW = Page(
    code="contrast-low",
    severity="warning",
    title="Ink and plate differ too little",
    what="The contrast between the colours of ink and plate is below 4.5 to 1.",
    why="Pale letters vanish in dim light, and for eyes that are tired or no longer young.",
    example='[plate]\ncolour = "#808080"\nink = "#ffffff"   # 3.95 to 1',
    remedy="Choose a darker or lighter ink.",
    source="WCAG 2.x, success criterion 1.4.3; values are not rounded before they are compared",
)

LETTERS_MISSING = Page(
    code="letters-missing",
    severity="warning",
    title="Words hold letters that cannot be printed",
    what="A label, legend or engraving holds letters that the typeface of the sheets lacks, or "
    "signs that cannot be seen.",
    why="A visible replacement is printed in their place, and the sheet has to be made again.",
    example='[controls.horn]\nlabel = "HORN 📯"',
    remedy="Write it with other letters, or give a legend for print.",
    source="The letters of Noto Sans: Latin with Extended A and B, Greek, Cyrillic",
)

LEGEND_TOO_WIDE = Page(
    code="legend-too-wide",
    severity="warning",
    title="Words do not fit beside their control at a readable height",
    what="Broken into lines, condensed and at the least readable height, the words still find no "
    "place beside their control among the words of its row.",
    why="They would be left out of the sheet; what is printed smaller cannot be read.",
    example='[actions.fog]\nname = "Sound the fog signal automatically"   # legend = "FOG AUTO"',
    remedy="Give a shorter legend, or make room on the plate.",
    source="NUREG-0700 Rev.3, 11.4.1.5-1 for the height; letters no narrower than 3:5, "
    "NUREG-0700 Rev.2, 11.3.1.5-4",
)

LABEL_NAMES_NOTHING = Page(
    code="label-names-nothing",
    severity="warning",
    title="A label names nothing",
    what="A control has fixed words for a contact that has no input, or a label in which nothing "
    "can be seen.",
    why="The plate would promise a position that does nothing, or show a blank.",
    example='[controls.trim]\nkind = "rotary"\ninputs = { clockwise = 1, anticlockwise = 2 }\n'
    'labels = { press = "RESET" }   # the push is not wired',
    remedy="Give the contact an input, or remove the words.",
)

_JOINT = " / "
"""Between the legends of one contact, as on the sheets."""


def check_sizes(survey: Survey) -> Iterator[Finding]:
    """Report letters below the readable height."""
    for device in survey.devices:
        plate = device.device.plate
        if plate.label_height is None and not plate.engravings:
            continue
        from profiles.plate.legibility import readable_height

        least = readable_height(plate.viewing_distance)
        if plate.label_height is not None:
            yield from _check_size(device, "legends", plate.label_height, least, "label_height")
        for place, one in enumerate(plate.engravings):
            path = ("engravings", place, "height")
            yield from _check_size(device, quote(one.text), one.height, least, *path)


def _check_size(
    device: DeviceFacts, words: str, height: float, least: float, *path: str | int
) -> Iterator[Finding]:
    if height < least:
        distance = device.device.plate.viewing_distance
        yield report(
            LABEL_UNREADABLE,
            f"{words} of {height:g} mm cannot be read from {distance:g} mm",
            f"Raise the height to {-(-least * 10 // 1) / 10:g} mm or more",
            device.spot("plate", *path),
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
            yield report(
                CONTRAST_LOW,
                f"`{plate.ink}` on `{plate.colour}` has contrast {_cut(ratio)}, "
                f"needed is {CONTRAST_TEXT:g}",
                "Choose a darker or lighter ink",
                device.spot("plate", "ink"),
                [Related("the plate's colour", device.spot("plate", "colour"))],
            )


def _cut(ratio: float) -> str:
    """A ratio with two places, cut and not rounded, so that 4.499 is not told as 4.50."""
    return f"{int(ratio * 100) / 100:.2f}"


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
                LETTERS_MISSING,
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
        for place, one in enumerate(device.device.plate.engravings):
            yield one.text, device.spot("plate", "engravings", place, "text")
    for key, application in survey.applications:
        for action_id, action in application.actions.items():
            word = "name" if action.legend is None else "legend"
            yield action.short, Spot(key, ("actions", action_id, word))
    for link in survey.links:
        for bound in link.bound:
            if bound.use.legend is not None:
                yield bound.use.legend, bound.spot


def check_labels(survey: Survey) -> Iterator[Finding]:
    """Report words for contacts that have no input, and labels in which nothing shows."""
    for device in survey.devices:
        for control, value in device.controls.items():
            if not _shows(value.label):
                yield report(
                    LABEL_NAMES_NOTHING,
                    f"the label of `{control}` shows nothing",
                    "Write words that can be seen",
                    device.spot("controls", control, "label"),
                )
            for contact, words in value.labels.items():
                if device.inputs and (control, contact) not in device.inputs:
                    yield report(
                        LABEL_NAMES_NOTHING,
                        f"{quote(words)} names {device.name(control, contact)}, which has no input",
                        "Give the contact an input, or remove the words",
                        device.spot("controls", control, "labels", contact),
                    )


def _shows(words: str) -> bool:
    return any(letter.isprintable() and not letter.isspace() for letter in words)


def check_widths(survey: Survey) -> Iterator[Finding]:
    """Report words that find no place beside their control.

    Long words are picked by a rough estimate; the layout of the sheets decides about them, with
    all words of their row. Words crowded out by other rows are told when the sheet is printed.
    """
    for device in survey.devices:
        fixed = {
            (control, ""): (value.label, device.spot("controls", control, "label"))
            for control, value in device.controls.items()
        }
        yield from _check_widths(device, fixed)
    for link in survey.links:
        for device in link.devices:
            least = min(device.letter_rooms.values(), default=0)
            if any(len(one.legend) > least for one in link.bound):
                yield from _check_widths(device, _legends(link, device))


_Words = dict[tuple[str, str], tuple[str, Spot]]


def _legends(link: LinkFacts, device: DeviceFacts) -> _Words:
    """Words and spot of each contact bound by itself, several actions joined."""
    found: _Words = {}
    for (held, acting), many in link.slots.items():
        if acting.device == device.id and not held:
            words = dict.fromkeys(one.legend for one in many)
            text = many[0].legend if len(words) == 1 else _JOINT.join(words)
            found[acting.control, acting.contact] = (text, many[0].spot)
    return found


def _check_widths(device: DeviceFacts, words: _Words) -> Iterator[Finding]:
    rooms = device.letter_rooms
    long = {
        control
        for (control, _), (text, _) in words.items()
        if len(text) > rooms.get(control, len(text)) and _longest(text) > rooms[control]
    }
    for row in device.rows if long else ():
        if not long.isdisjoint(row):
            members = {key: value for key, value in words.items() if key[0] in row}
            yield from _check_row(device, members)


@lru_cache(maxsize=4096)
def _longest(text: str) -> int:
    """Letters of the longest of at most three lines, as evenly as words allow, about."""
    words = max(map(len, text.split()), default=0)
    return max(words, -(-len(text) // 3))


def _check_row(device: DeviceFacts, words: _Words) -> Iterator[Finding]:
    from profiles.plate.labels import Legend, label_id, place_legends

    legends = [Legend(control, contact, text) for (control, contact), (text, _) in words.items()]
    spots = {label_id(one): words[one.control, one.contact][1] for one in legends}
    for missing in place_legends(device.device, legends).unplaced:
        yield report(
            LEGEND_TOO_WIDE,
            f"{quote(missing.text)} does not fit beside `{missing.id}`",
            "Give a shorter legend, or make room on the plate",
            spots[missing.id],
            about=missing.id if spots[missing.id].document != device.id else "",
        )


CHECKS = (
    Check(check_sizes, (LABEL_UNREADABLE,)),
    Check(check_contrast, (CONTRAST_LOW,)),
    Check(check_letters, (LETTERS_MISSING,)),
    Check(check_labels, (LABEL_NAMES_NOTHING,)),
    Check(check_widths, (LEGEND_TOO_WIDE,)),
)
