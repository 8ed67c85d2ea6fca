"""Bindings that clash, are missing, or lead to contacts that nothing reads."""

from profiles.model import Related, Spot
from tests.checks.build import application, check, device, find, profile, told

BOX = device("[controls.horn]\ninput = 1\n[controls.bell]\ninput = 2")
APPLICATION = application(
    """
    [actions.sound-horn]
    contexts = ["under-way"]
    [actions.menu-back]
    contexts = ["menu"]
    [actions.dim]
    """
)


def test_one_contact_on_two_actions_whose_contexts_meet_is_an_error() -> None:
    """`dim` has no contexts, so it is alive under way too."""
    play = profile('[bindings]\nhorn = ["sound-horn", "dim"]\nbell = "menu-back"')

    assert told("contexts-collide", BOX, APPLICATION, play) == [
        (
            "`horn` does `sound-horn` and `dim` at once",
            "Bind `dim` elsewhere, or keep their contexts apart",
            "play:bindings.horn dim",
        )
    ]


def test_a_clash_between_two_keys_of_one_contact_shows_both_places() -> None:
    """`horn` and `desk/horn.press` are one contact."""
    play = profile('[bindings]\nhorn = "sound-horn"\n"desk/horn.press" = "dim"')

    (found,) = find("contexts-collide", BOX, APPLICATION, play)

    assert Spot("play", ("bindings", "desk/horn.press")) == found.spot
    assert (Related("does `sound-horn`", Spot("play", ("bindings", "horn"))),) == found.related


def test_actions_whose_contexts_never_meet_share_a_contact() -> None:
    play = profile('[bindings]\nhorn = ["sound-horn", "menu-back"]\nbell = "dim"')

    assert check(BOX, APPLICATION, play).findings == ()


def test_the_same_contact_with_others_held_is_no_clash() -> None:
    play = profile('[bindings]\nhorn = "sound-horn"\n"bell + horn" = "dim"')

    assert find("contexts-collide", BOX, APPLICATION, play) == []


def test_the_order_of_held_contacts_makes_no_difference() -> None:
    """Held together is held together, in whatever order it is written."""
    box = device("[controls.a]\ninput = 1\n[controls.b]\ninput = 2\n[controls.c]\ninput = 3")
    play = profile('[bindings]\n"a + b + c" = "sound-horn"\n"b + a + c" = "dim"')

    assert [one.subject for one in find("contexts-collide", box, APPLICATION, play)] == [
        'play:bindings."b + a + c" dim'
    ]


def test_a_binding_written_twice_is_told_once() -> None:
    play = profile('[bindings]\nhorn = "dim"\n"horn.press" = "dim"')

    assert told("binding-repeated", BOX, APPLICATION, play) == [
        (
            "`horn` is bound to `dim` twice",
            "Remove one of the two",
            'play:bindings."horn.press" dim',
        )
    ]
    assert told("action-bound-often", BOX, APPLICATION, play) == []


def test_an_action_bound_more_often_than_its_application_takes_is_an_error() -> None:
    play = profile('[bindings]\nhorn = "dim"\nbell = "dim"')

    assert told("action-bound-often", BOX, APPLICATION, play) == [
        (
            "`dim` accepts one input but is bound to `horn` and `bell`",
            "Remove 1 binding of `dim`",
            "play:bindings.bell dim",
        )
    ]


def test_an_application_that_takes_two_inputs_gets_two() -> None:
    two = application("[application]\ninputs_per_action = 2\n[actions.dim]")
    play = profile('[bindings]\nhorn = "dim"\nbell = "dim"')

    assert told("action-bound-often", BOX, two, play) == []


def test_unbound_actions_are_told_by_their_need() -> None:
    """One finding an action, so that each can be accepted by itself."""
    needy = application(
        '[actions.brake]\nneed = "must"\n[actions.wipers]\nneed = "want"\n[actions.dim]'
    )
    play = profile('[bindings]\nhorn = "dim"')

    assert told("must-unbound", BOX, needy, play) == [
        (
            "`brake` is unbound in `play`, but must be bound",
            "Bind `brake`, or lower its need",
            "play:bindings brake",
        )
    ]
    assert told("want-unbound", BOX, needy, play) == [
        (
            "`wipers` is unbound in `play`, but is wanted",
            "Bind `wipers`, or lower its need",
            "play:bindings wipers",
        )
    ]


def test_an_action_under_a_misspelt_control_is_not_told_as_unbound_too() -> None:
    """The misspelling is the one thing to mend."""
    needy = application('[actions.brake]\nneed = "must"')
    play = profile('[bindings]\nhron = "brake"')

    assert told("must-unbound", BOX, needy, play) == []
    assert len(told("name-unknown", BOX, needy, play)) == 1


def test_a_contact_that_no_profile_uses_is_told_on_the_device() -> None:
    play = profile('[bindings]\nhorn = "dim"')

    assert told("contact-idle", BOX, APPLICATION, play) == [
        (
            "no profile binds `bell`",
            "Bind it in a profile, or accept it as spare",
            "desk:controls.bell",
        )
    ]
    assert told("contact-unused", BOX, APPLICATION, play) == []


def test_a_contact_that_only_one_of_two_profiles_uses_is_told_in_the_other() -> None:
    play = profile('[bindings]\nhorn = "dim"\nbell = "sound-horn"')
    other = profile('[profile]\nid = "other"\n[bindings]\nhorn = "dim"')

    assert told("contact-unused", BOX, APPLICATION, play, other) == [
        (
            "`other` binds nothing to `bell`",
            "Bind it, or accept that it is unused here",
            "other:bindings desk/bell",
        )
    ]
    assert told("contact-idle", BOX, APPLICATION, play, other) == []


def test_a_contact_that_is_only_held_counts_as_used() -> None:
    play = profile('[bindings]\n"bell + horn" = "dim"')

    assert told("contact-idle", BOX, APPLICATION, play) == []


def test_a_long_list_of_idle_contacts_is_cut_with_its_count() -> None:
    numbers = ", ".join(f"position-{n} = {n}" for n in range(1, 7))
    box = device(f'[controls.mode]\nkind = "selector"\npositions = 6\ninputs = {{ {numbers} }}')
    play = profile("[bindings]")

    ((message, _, _),) = told("contact-idle", box, APPLICATION, play)

    assert (
        message
        == "no profile binds `mode.position-1`, `mode.position-2`, `mode.position-3` and 3 more"
    )


def test_a_device_without_profiles_has_no_idle_contacts() -> None:
    assert told("contact-idle", BOX) == []


def test_a_bound_contact_without_an_input_is_told_once_for_all_profiles() -> None:
    box = device("[controls.horn]\n[controls.bell]\ninput = 1")
    play = profile('[bindings]\nhorn = "dim"\nbell = "sound-horn"')
    other = profile('[profile]\nid = "other"\n[bindings]\nhorn = "dim"\nbell = "sound-horn"')

    assert told("contact-without-input", box, APPLICATION, play, other) == [
        (
            "`horn` is bound, but has no input",
            "Give it an input number, or remove the binding",
            "desk:controls.horn press",
        )
    ]


def test_over_two_devices_names_carry_the_device() -> None:
    side = device('[device]\nid = "side"\n[controls.horn]\ninput = 1')
    play = profile(
        '[profile]\nid = "both"\napplication = "harbour"\ndevices = ["desk", "side"]\n'
        '[bindings]\n"side/horn" = ["dim", "sound-horn"]',
        base="",
    )

    ((message, _, _),) = told("contexts-collide", BOX, side, APPLICATION, play)

    assert message == "`side/horn` does `dim` and `sound-horn` at once"
