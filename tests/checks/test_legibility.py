"""Words on the plate: size, contrast, letters, room and sense."""

import pytest

from profiles.model import Related, Spot
from tests.checks.build import application, device, find, profile, told


def test_letters_below_15_minutes_of_arc_are_a_warning() -> None:
    """NUREG-0700 Rev.3, 11.4.1.5-1: 15 minutes at 600 mm are 2.618 mm of capital height."""
    (found,) = find("label-unreadable", device("[plate]\nlabel_height = 2.6"))

    assert found.message == "legends of 2.6 mm cannot be read from 600 mm"
    assert found.remedy == "Raise the height to 2.7 mm or more"
    assert found.spot == Spot("desk", ("plate", "label_height"))
    there = Spot("desk", ("plate", "viewing_distance"))
    assert found.related == (Related("the viewing distance", there),)


def test_engravings_are_held_to_the_same_height() -> None:
    box = device('[[plate.engravings]]\ntext = "HELM"\nposition = [9.0, 9.0]\nheight = 2.0')

    assert told("label-unreadable", box) == [
        (
            "`HELM` of 2 mm cannot be read from 600 mm",
            "Raise the height to 2.7 mm or more",
            "desk:plate.engravings.0.height",
        )
    ]


def test_letters_of_15_minutes_are_silent() -> None:
    assert find("label-unreadable", device("[plate]\nlabel_height = 2.62")) == []


@pytest.mark.parametrize(
    ("colour", "ink", "ratio"),
    [("#ffffff", "#777777", "4.47"), ("#808080", "#ffffff", "3.94"), ("#f00", "#fff", "3.99")],
)
def test_contrast_below_four_and_a_half_is_a_warning(colour: str, ink: str, ratio: str) -> None:
    """WCAG 2.x, 1.4.3; #777 on white is the published near miss (4.478)."""
    box = device(f'[plate]\ncolour = "{colour}"\nink = "{ink}"')

    assert told("contrast-low", box) == [
        (
            f"`{ink}` on `{colour}` has contrast {ratio}:1, below 4.5:1",
            "Choose a darker or lighter ink",
            "desk:plate.ink",
        )
    ]


def test_the_published_near_hit_is_silent() -> None:
    """#767676 on white: 4.54 (WCAG understanding documents)."""
    assert find("contrast-low", device('[plate]\nink = "#767676"')) == []


def test_letters_that_the_typeface_lacks_are_a_warning() -> None:
    box = device('[controls.horn]\nlabel = "HORN \\U0001F4EF"')

    assert told("letters-missing", box) == [
        (
            "`HORN 📯` holds U+1F4EF, not in the typeface",
            "Write it with other letters",
            "desk:controls.horn.label",
        )
    ]


def test_letters_are_told_where_the_words_are_written() -> None:
    """The name of an action only counts where it has no legend."""
    one = application(
        '[actions.a]\nname = "\\u4e00"\nlegend = "A"\n[actions.b]\nname = "\\u4e8c"\n'
        '[actions.c]\nname = "C"\nlegend = "\\u4e09"'
    )
    box = device("[controls.horn]\ninput = 1")
    play = profile('[bindings]\nhorn = { action = "a", legend = "\\u56db" }')

    assert [one.subject for one in find("letters-missing", box, one, play)] == [
        "harbour:actions.b.name",
        "harbour:actions.c.legend",
        "play:bindings.horn",
    ]


@pytest.mark.parametrize("words", ["ŁÓDŹ", "Žluťoučký", "Größe", "Ωμέγα", "Гудок"])
def test_polish_czech_german_greek_and_cyrillic_are_silent(words: str) -> None:
    assert find("letters-missing", device(f'[controls.horn]\nlabel = "{words}"')) == []


def test_words_for_a_contact_without_input_name_nothing() -> None:
    box = device(
        '[controls.trim]\nkind = "rotary"\ninputs = { clockwise = 1, anticlockwise = 2 }\n'
        'labels = { press = "RESET", clockwise = "UP" }'
    )

    assert told("label-names-nothing", box) == [
        (
            "`RESET` names `trim.press`, which has no input",
            "Give the contact an input, or remove the words",
            "desk:controls.trim.labels.press",
        )
    ]


def test_words_for_a_position_without_a_contact_are_fine() -> None:
    """OFF of a key switch, the centre of a toggle: what is chosen there is to be read."""
    key = (
        '[controls.key]\nkind = "selector"\npositions = 3\noff = [1]\n'
        "inputs = { position-2 = 1, position-3 = 2 }\n"
        'labels = { position-1 = "OFF" }\n'
    )
    trim = (
        '[controls.trim]\nkind = "latching"\npattern = "(on)-off-(on)"\n'
        'inputs = { up = 3, down = 4 }\nlabels = { centre = "NEUTRAL" }\n'
    )
    assert told("label-names-nothing", device(key + trim)) == []


def test_a_label_in_which_nothing_shows_names_nothing() -> None:
    box = device('[controls.horn]\nlabel = "\\u200b"')

    assert told("label-names-nothing", box) == [
        (
            "the label of `horn` shows nothing",
            "Write words that can be seen",
            "desk:controls.horn.label",
        )
    ]


ROW = "".join(
    f"[controls.c{n}]\nposition = [{30.0 + 25.0 * n}, 50.0]\nhole = 16.0\nfront = 18.0\n"
    f"input = {n + 1}\n"
    for n in range(5)
)


def test_words_without_a_place_in_their_row_are_a_warning() -> None:
    """A word of 60 letters without syllables at 2.6 mm is wider than the plate."""
    one = application(f'[actions.long]\nlegend = "{"WWWWWWWWW" * 6}"\n[actions.b]\n[actions.c]')
    play = profile('[bindings]\nc1 = "b"\nc2 = "long"\nc3 = "c"')

    assert told("label-without-room", device(ROW), one, play) == [
        (
            f"`{'W' * 40}…` has no place beside `c2.press`, which gets number 1: "
            "105.1 mm too wide at 2.6 mm capital height",
            "Give shorter words, or make room on the plate",
            "play:bindings.c2 c2.press",
        )
    ]


def test_labels_of_the_device_are_held_to_the_same() -> None:
    box = device(ROW.replace("[controls.c2]", f'[controls.c2]\nlabel = "{"MWM" * 20}"'))

    assert [one.subject for one in find("label-without-room", box)] == ["desk:controls.c2.label"]


def test_long_words_that_break_into_lines_are_silent() -> None:
    one = application('[actions.long]\nlegend = "FOG SIGNAL AUTO ON"\n[actions.b]')
    play = profile('[bindings]\nc1 = "b"\nc2 = "long"')

    assert find("label-without-room", device(ROW), one, play) == []


@pytest.mark.parametrize(
    ("where", "message"),
    [
        ("label_at = [55.0, 45.0]", "number 1: the place given by hand is not free"),
        ("label_at = [3.0, 50.0]", "number 1: the place given by hand is not free"),
        (
            'label_place = "right"',
            "a line to words elsewhere: 11.7 mm too wide at 2.6 mm capital height",
        ),
    ],
)
def test_a_place_given_by_hand_that_is_not_free_is_a_warning(where: str, message: str) -> None:
    """The first would stand on the front of `c1`, the second beyond the edge that is kept free."""
    head = f'[controls.c0]\nlabel = "STARBOARD"\n{where}'
    box = device(ROW.replace("[controls.c0]", head))

    (found,) = find("label-without-room", box)
    assert found.subject == "desk:controls.c0.label"
    assert found.message == f"`STARBOARD` has no place beside `c0`, which gets {message}"


def test_a_chord_that_has_no_place_beside_the_other_words_is_named() -> None:
    one = application(f'[actions.long]\nlegend = "{"WMW" * 12}"\n[actions.b]\nlegend = "B"')
    play = profile('[bindings]\nc2 = "b"\n"c0 + c2" = "long"')

    assert [found.message for found in find("label-without-room", device(ROW), one, play)] == [
        f"`c0 + {'WMW' * 11}WM…` has no place beside `c2.press`, which gets only its other words: "
        "55.2 mm too wide at 2.6 mm capital height"
    ]


def test_letters_of_shorter_words_are_judged_too() -> None:
    box = device('[controls.horn]\nshort = "\u2603"')
    one = application('[actions.a]\nshort = "\u2602"')
    play = profile('[bindings]\nhorn = { action = "a", short = "\u2601" }')

    assert [found.subject for found in find("letters-missing", box, one, play)] == [
        "desk:controls.horn.short",
        "harbour:actions.a.short",
        "play:bindings.horn",
    ]
