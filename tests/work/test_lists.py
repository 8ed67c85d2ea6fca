"""Pasted lists: names under headings, and ids made from names."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.files.lists import Entry, Pasted, make_id, read_list
from profiles.work.starting import StartError, start_application
from tests.hostile import NAUGHTY

PASTED = """\
Deck:
  - Sound the horn
  2. Ring the bell

# Bridge
• Radar range +
Log
"""


def test_headings_give_groups_and_bullets_are_no_part_of_a_name() -> None:
    assert read_list(PASTED).entries == (
        Entry("Sound the horn", "Deck"),
        Entry("Ring the bell", "Deck"),
        Entry("Radar range +", "Bridge"),
        Entry("Log", "Bridge"),
    )


def test_ids_are_made_from_names_and_never_twice() -> None:
    taken: dict[str, None] = {}
    for name in ("Fog signal", "FOG-SIGNAL", "Kühlung", "燈"):
        taken[make_id(name, taken)] = None

    assert list(taken) == ["fog-signal", "fog-signal-2", "kuhlung", "item"]


def test_one_name_over_and_over_is_looked_up_a_few_times_each() -> None:
    """Counted, not timed: a megabyte of one name is read as fast as one of many names."""

    class Counting(dict[str, None]):
        looks = 0

        def __contains__(self, key: object) -> bool:
            self.looks += 1
            return super().__contains__(key)

    taken = Counting()
    for _ in range(1_000):
        taken[make_id("Horn", taken)] = None
    assert list(taken) == ["horn", *(f"horn-{n}" for n in range(2, 1_001))]
    assert taken.looks < 1_000 * 2 * 11, "twice the bits of the number"


def test_a_list_of_more_actions_than_one_file_holds_is_refused() -> None:
    most = Pasted((Entry("Go"),) * 5_000)
    text = start_application({"id": "ferry", "name": "Ferry"}, most).text
    assert text.endswith('go-5000 = { name = "Go" }\n')
    with pytest.raises(StartError) as caught:
        start_application({"id": "ferry", "name": "Ferry"}, Pasted((Entry("Go"),) * 5_001))
    assert (str(caught.value), caught.value.remedy) == (
        "the list names 5,001 actions, and an application takes 5,000 at most",
        "Keep those that you bind.",
    )


@settings(max_examples=40)
@given(st.lists(st.text(max_size=80) | st.sampled_from(NAUGHTY), max_size=8), st.text(max_size=80))
def test_any_name_gives_an_id_that_files_take(taken: list[str], name: str) -> None:
    made = make_id(name, taken)

    assert made not in taken
    start_application({"id": made, "name": "A"}, Pasted((Entry("Go"),)))


def test_action_list_is_one_line_an_action() -> None:
    text = start_application({"id": "ferry", "name": "Ferry"}, read_list(PASTED)).text

    assert text.endswith(
        '[actions]\nsound-the-horn = { name = "Sound the horn", group = "deck" }\n'
        'ring-the-bell = { name = "Ring the bell", group = "deck" }\n'
        'radar-range = { name = "Radar range +", group = "bridge" }\n'
        'log = { name = "Log", group = "bridge" }\n'
    )
