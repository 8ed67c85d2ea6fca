"""A box without a file: its controls named one after another, whatever happens meanwhile."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.live.discovery import Discovery, draw_grid
from profiles.live.events import Event, FoundBox
from profiles.live.lines import Answer, Entry, parse_line, write_line
from profiles.work.press_new import write_device
from tests.hostile import hostile_texts

BOX = FoundBox(7, "Front box", "1209", "0077", serial="A1", buttons=6, hats=2)


def typed(words: str, at: float) -> Answer:
    return Answer(at, "typed", words)


def press(number: int, at: float) -> list[Entry]:
    return [Event(at, 7, "down", number), Event(at + 90.0, 7, "up", number)]


@pytest.fixture
def found() -> Discovery:
    started = Discovery(7)
    started.take(Event(0.0, 7, "added", box=BOX))
    return started


def test_what_was_heard_is_said_once_the_box_is_quiet(found: Discovery) -> None:
    found.take(*press(5, 1000.0))
    assert found.tick(1789.0) == ()
    assert found.tick(1790.0) == (
        "Heard: input 5 springs back: a momentary. Type its name, or Enter to work it again.",
    )
    assert found.tick(9000.0) == ()


def test_a_name_alone_asks_for_the_place_and_enter_takes_the_next_one(found: Discovery) -> None:
    found.take(*press(1, 1000.0), typed("Fog horn @ 2,3", 3000.0), *press(2, 4000.0))
    found.take(typed("Bell", 6000.0))
    assert found.asked == "Where is it? Type row,column from the top left; Enter: 2,4"
    said = found.take(typed("2,3", 6100.0), typed("two", 6200.0), typed("0,1", 6300.0))
    assert said == (
        "`fog-horn` is there already: type another row,column.",
        "That is no place: type row,column such as 2,3; or back, or stop.",
        "Rows and columns go from 1 to 64.",
    )
    assert found.take(typed("", 6400.0)) == ("Bell: input 2 springs back: a momentary, at 2,4.",)
    assert draw_grid(found.controls) == (
        "     1    2    3    4    5",
        "   1 .    .    .    .    .",
        "   2 .    .    fog- bell .",
        "   3 .    .    .    .    .",
    )


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("Horn", "`Horn` is named already: type another name."),
        (" @ 1,2", "That is no name: write 1 to 400 letters."),
        ("Bell {x}", "That is no name: it holds {x}, but there is no sign `x`."),
        ("Bell = toggel", "There is no kind `toggel`: there are momentary, latching, rotary, "),
        ("Bell = momentry", "There is no kind `momentry`: did you mean momentary?"),
        ("Bell = rotary", "Unclear: a rotary has 2 or 3 inputs, and 1 was heard. Enter forgets "),
    ],
)
def test_a_name_that_cannot_be_is_answered_and_what_was_heard_stays(
    found: Discovery, words: str, said: str
) -> None:
    found.take(*press(1, 1000.0), typed("Horn @ 1,1", 3000.0), *press(2, 4000.0))
    *_, answer = found.take(typed(words, 6000.0))
    assert answer.startswith(said)
    found.take(typed("Bell @ 1,2", 7000.0))
    assert [*found.controls] == ["horn", "bell"]


def test_a_control_that_has_a_name_is_told_and_not_taken_again(found: Discovery) -> None:
    found.take(*press(1, 1000.0), typed("Horn @ 1,1", 3000.0))
    assert found.take(*press(1, 4000.0)) == ("That is `horn`, which has a name already.",)
    assert found.take(typed("Bell", 6000.0)) == (
        "Nothing new was heard yet. Work a control first, or type done when all are named, back "
        "to take back the last, stop to resume later.",
    )


def test_enter_forgets_what_was_heard_and_back_takes_back_the_last(found: Discovery) -> None:
    found.take(*press(1, 1000.0), typed("Horn @ 1,1", 3000.0), *press(2, 4000.0))
    assert found.take(typed("", 5000.0))[-1] == "Forgotten: work it again."
    assert found.take(typed("back", 6000.0)) == ("`horn` is taken back: work it again.",)
    assert not found.controls
    found.take(*press(2, 7000.0), typed("Stop @ 1,1", 8000.0))
    assert (found.phase, [*found.controls]) == ("working", ["stop"])


def test_back_while_a_place_is_asked_for_forgets_the_name(found: Discovery) -> None:
    found.take(*press(1, 1000.0), typed("Horn", 3000.0))
    assert found.take(typed("back", 4000.0)) == ("Work it again.",)
    found.take(*press(1, 5000.0), typed("Horn", 6000.0), typed("stop", 7000.0))
    assert (found.phase, [*found.controls]) == ("stopped", [])


def test_a_box_that_is_plugged_in_again_goes_on_and_its_twin_is_ignored(found: Discovery) -> None:
    twin = FoundBox(8, "Front box", "1209", "0077", serial="B2", buttons=6)
    found.take(*press(1, 1000.0), Event(2000.0, 7, "removed", box=BOX))
    assert found.asked == "The box is unplugged. Plug it in again, or type stop."
    found.take(Event(3000.0, 8, "added", box=twin), Event(3100.0, 8, "down", 2))
    assert found.phase == "unplugged"
    again = FoundBox(9, "Front box", "1209", "0077", serial="A1", buttons=6)
    found.take(Event(4000.0, 9, "added", box=again), Event(4100.0, 9, "down", 3))
    found.take(Event(4200.0, 9, "up", 3), typed("Bell @ 1,1", 6000.0))
    assert found.controls["bell"].behaviour.keys == {"input": 3}


def test_a_hat_is_not_the_second_before_the_first_is_named(found: Discovery) -> None:
    found.take(Event(1000.0, 7, "hat", 2, 1), Event(1100.0, 7, "hat", 2, 0))
    found.take(typed("View @ 1,1", 3000.0))
    assert found.take(typed("done", 4000.0)) == (
        "Work hat 1 too: hats are counted in the order of the file.",
    )
    found.take(Event(5000.0, 7, "hat", 1, 1), Event(5100.0, 7, "hat", 1, 0))
    found.take(typed("Map @ 1,2", 6000.0), typed("done", 7000.0))
    assert found.phase == "finished"
    text = write_device(found, "front", None, None)
    assert text.index("map = ") < text.index("view = ")


def test_nothing_is_left_out_when_all_have_a_name(found: Discovery) -> None:
    found.take(Event(1000.0, 7, "hat", 1, 1), typed("View @ 1,1", 3000.0))
    found.take(Event(5000.0, 7, "hat", 2, 1), typed("Map @ 1,2", 6000.0))
    for number in range(1, 6):
        found.take(*press(number, 8000.0 * number), typed(f"B{number} @ 2,{number}", 8e3 * number))
    assert found.progress == "buttons 5 of 6, hats 2 of 2"
    *_, said = found.take(*press(6, 90_000.0), typed("B6 @ 2,6", 95_000.0))
    assert said.endswith("Every button, hat and axis has a name: type done.")


@given(
    st.lists(hostile_texts() | st.sampled_from(["", "a = b @ 1,1", "stop", "back"]), max_size=12)
)
def test_hostile_names_are_refused_or_written_inert(words: list[str]) -> None:
    hostile = FoundBox(7, "\x1b[2J]52;c;", "1209", "0001", serial="\x00", buttons=300)
    found = Discovery(7)
    found.take(Event(0.0, 7, "added", box=hostile))
    for at, one in enumerate(words, 1):
        said = found.take(*press(at, 1000.0 * at), typed(one, 1000.0 * at + 500.0))
        said += found.take(typed("", 1000.0 * at + 600.0))
        assert "\x1b" not in "".join(said)
    if found.controls:
        text = write_device(found, "front", None, None)
        assert "\x1b" not in text
        assert b"\x00" not in text.encode()


def test_typed_words_are_read_back_as_they_were_written() -> None:
    answer = Answer(12.0, "typed", 'Größe "x" @ 1,2')
    assert parse_line(write_line(answer), is_first=False) == answer
