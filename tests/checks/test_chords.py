"""Chords: refused, or with a shorter binding inside."""

from profiles.model import Related, Spot
from tests.checks.build import application, device, find, profile, told

BOX = device("[controls.shift]\ninput = 1\n[controls.mode]\ninput = 2\n[controls.horn]\ninput = 3")
APPLICATION = application(
    '[actions.one]\n[actions.two]\n[actions.menu]\ncontexts = ["menu"]\n'
    '[actions.sail]\ncontexts = ["sea"]'
)


def test_a_chord_in_an_application_that_takes_none_is_an_error() -> None:
    plain = application("[application]\nchords = false\n[actions.one]")
    play = profile('[bindings]\n"shift + horn" = "one"')

    assert told("chord-refused", BOX, plain, play) == [
        (
            "`harbour` takes no chord such as `shift + horn`",
            "Bind `one` to a single contact",
            'play:bindings."shift + horn"',
        )
    ]


def test_an_application_that_takes_chords_gets_them() -> None:
    play = profile('[bindings]\n"shift + horn" = "one"')

    assert told("chord-refused", BOX, APPLICATION, play) == []


def test_a_chord_inside_a_longer_one_is_a_warning() -> None:
    play = profile('[bindings]\n"shift + horn" = "one"\n"shift + mode + horn" = "two"')

    (found,) = find("chord-inside-chord", BOX, APPLICATION, play)

    assert found.message == "`shift + horn` is inside `mode + shift + horn`"
    assert found.remedy == "Make sure that `one` may act with `two`, or bind it elsewhere"
    assert Spot("play", ("bindings", "shift + horn")) == found.spot
    there = Spot("play", ("bindings", "shift + mode + horn"))
    assert (Related("contains it", there),) == found.related


def test_a_chord_that_completes_on_the_way_counts_as_inside() -> None:
    """Going down in the order shift, horn, mode passes `shift + horn`."""
    play = profile('[bindings]\n"shift + horn" = "one"\n"shift + horn + mode" = "two"')

    assert len(find("chord-inside-chord", BOX, APPLICATION, play)) == 1


def test_chords_of_which_none_is_part_of_another_are_silent() -> None:
    play = profile('[bindings]\n"shift + horn" = "one"\n"mode + horn" = "two"')

    assert find("chord-inside-chord", BOX, APPLICATION, play) == []


def test_chords_that_are_never_alive_together_are_silent() -> None:
    play = profile('[bindings]\n"shift + horn" = "menu"\n"shift + mode + horn" = "sail"')

    assert find("chord-inside-chord", BOX, APPLICATION, play) == []


def test_a_contact_that_acts_alone_and_in_a_chord_is_a_note() -> None:
    play = profile('[bindings]\nhorn = "one"\n"shift + horn" = "two"\n"mode + horn" = "menu"')

    (found,) = find("contact-inside-chord", BOX, APPLICATION, play)

    assert found.severity == "note"
    assert found.message == "`horn` is inside `shift + horn` and 1 more"
    assert Spot("play", ("bindings", "horn")) == found.spot


def test_a_contact_that_is_only_held_is_no_note() -> None:
    play = profile('[bindings]\n"shift + horn" = "two"')

    assert find("contact-inside-chord", BOX, APPLICATION, play) == []


def test_the_same_action_alone_and_in_a_chord_is_no_note() -> None:
    """Whichever acts, it is what was wanted."""
    twice = application("[application]\ninputs_per_action = 2\n[actions.one]")
    play = profile('[bindings]\nhorn = "one"\n"shift + horn" = "one"')

    assert find("contact-inside-chord", BOX, twice, play) == []
