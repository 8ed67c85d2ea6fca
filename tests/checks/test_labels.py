"""Duplicate labels and legends."""

from profiles.model import Related, Spot
from tests.checks.build import application, device, find, profile, told

BOX = device("[controls.horn]\ninput = 1\n[controls.bell]\ninput = 2")
APPLICATION = application(
    '[actions.short]\nlegend = "HORN"\n[actions.long]\nlegend = "Horn "\n[actions.dim]'
)


def test_the_same_label_on_two_controls_is_a_warning() -> None:
    """Letter case and spaces aside: the eye does not count spaces."""
    box = device('[controls.horn]\nlabel = "FOG HORN"\n[controls.bell]\nlabel = "Fog  horn"')

    (found,) = find("label-repeated", box)

    assert found.message == "`horn` and `bell` both say `Fog horn`"
    assert found.remedy == "Reword the label of `bell`"
    assert Spot("desk", ("controls", "bell", "label")) == found.spot
    there = Spot("desk", ("controls", "horn", "label"))
    assert (Related("`horn` says it too", there),) == found.related


def test_labels_of_their_own_are_silent() -> None:
    assert find("label-repeated", BOX) == []


def test_one_legend_for_two_actions_is_a_warning() -> None:
    play = profile('[bindings]\nhorn = "short"\nbell = "long"')

    assert told("legend-repeated", BOX, APPLICATION, play) == [
        (
            "`horn` and `bell` both say `Horn`",
            "Give `long` on `bell` its own legend",
            "play:bindings.bell",
        )
    ]


def test_the_same_action_twice_or_legends_apart_are_silent() -> None:
    same = profile('[bindings]\nhorn = "short"\nbell = "short"')
    apart = profile('[bindings]\nhorn = "short"\nbell = { action = "long", legend = "LONG" }')

    for play in (same, apart):
        assert find("legend-repeated", BOX, APPLICATION, play) == []
