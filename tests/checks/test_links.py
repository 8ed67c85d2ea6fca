"""Names that lead nowhere, told with one close spelling."""

import pytest

from profiles.model import Profile
from tests.checks.build import application, device, profile, told

BOX = device('[controls.horn]\ninput = 1\n[controls.mode]\nkind = "selector"\npositions = 2')
SIDE = device('[device]\nid = "side"\n[controls.horn]\ninput = 1')
APPLICATION = application("[actions.sound-horn]")


def over_both(bindings: str) -> Profile:
    header = '[profile]\nid = "both"\napplication = "harbour"\ndevices = ["desk", "side"]\n'
    return profile(f"{header}[bindings]\n{bindings}", base="")


@pytest.mark.parametrize(
    ("bindings", "message", "remedy", "subject"),
    [
        ('hron = "sound-horn"', "`hron` is no control of `desk`", "Write `horn`", "hron hron"),
        (
            'horn = "soundhorn"',
            "`soundhorn` is no action of `harbour`",
            "Write `sound-horn`",
            "horn soundhorn",
        ),
        (
            'horn = "zzz"',
            "`zzz` is no action of `harbour`",
            "Name an action that exists, or describe this one",
            "horn zzz",
        ),
        (
            '"horn.off" = "sound-horn"',
            "`off` is no contact of that control",
            "Write `press`",
            '"horn.off" off',
        ),
        (
            '"dsk/horn" = "sound-horn"',
            "`dsk` is no device of this profile",
            "Write `desk`",
            '"dsk/horn" dsk',
        ),
    ],
)
def test_a_loose_name_in_a_binding(bindings: str, message: str, remedy: str, subject: str) -> None:
    play = profile(f"[bindings]\n{bindings}")

    assert [(message, remedy, f"play:bindings.{subject}")] == told(
        "name-unknown", BOX, APPLICATION, play
    )


def test_a_loose_application_and_device_are_told_at_their_words() -> None:
    play = profile('[profile]\napplication = "harbor"\ndevice = "desc"')

    assert told("name-unknown", BOX, APPLICATION, play) == [
        (
            "`harbor` is no application of this library",
            "Write `harbour`",
            "play:profile.application",
        ),
        ("`desc` is no device of this library", "Write `desk`", "play:profile.device"),
    ]


def test_names_that_lead_somewhere_are_silent() -> None:
    play = profile('[bindings]\n"horn.press" = "sound-horn"')

    assert told("name-unknown", BOX, APPLICATION, play) == []


def test_a_selector_alone_does_not_say_which_contact() -> None:
    play = profile('[bindings]\nmode = "sound-horn"')

    assert told("contact-unnamed", BOX, APPLICATION, play) == [
        (
            "`mode` has several contacts, none is named",
            "Name the contact, such as `mode.position-1`",
            "play:bindings.mode mode",
        )
    ]
    assert told("name-unknown", BOX, APPLICATION, play) == []


def test_a_control_that_two_devices_have_needs_its_device() -> None:
    play = over_both('horn = "sound-horn"')

    assert told("device-unnamed", BOX, SIDE, APPLICATION, play) == [
        (
            "`horn` is on `desk` and `side`",
            "Name the device, such as `desk/horn`",
            "both:bindings.horn horn",
        )
    ]


def test_a_control_that_one_of_two_devices_has_needs_none() -> None:
    play = over_both('"mode.position-1" = "sound-horn"')

    assert told("device-unnamed", BOX, SIDE, APPLICATION, play) == []


def test_a_context_that_the_application_does_not_list_is_an_error() -> None:
    one = application(
        '[application]\ncontexts = ["harbour", "sea"]\n[actions.moor]\ncontexts = ["harbor"]\n'
        '[actions.wave]\ncontexts = ["sea", "pub"]'
    )

    assert told("context-unknown", one) == [
        (
            "`moor` names context `harbor`, which is not listed",
            "Write `harbour`",
            "harbour:actions.moor.contexts.0",
        ),
        (
            "`wave` names context `pub`, which is not listed",
            "Add `pub` to the application's contexts",
            "harbour:actions.wave.contexts.1",
        ),
    ]


def test_contexts_are_free_where_the_application_lists_none() -> None:
    assert told("context-unknown", application('[actions.moor]\ncontexts = ["anywhere"]')) == []


def test_an_interface_that_is_not_known_is_an_error() -> None:
    one = application('[application]\ninterface = "linux-joydv"')

    assert told("interface-unknown", one) == [
        (
            "`linux-joydv` is no known host interface",
            "Write `linux-joydev`",
            "harbour:application.interface",
        )
    ]


def test_a_known_interface_is_silent() -> None:
    one = application('[application]\ninterface = "linux-joydev"')

    assert told("interface-unknown", one) == []
