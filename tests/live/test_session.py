"""The press test: what it asks, how it judges, and what it makes of trouble."""

from dataclasses import replace

import pytest

from profiles.live.events import Event, FoundBox, LiveError
from profiles.live.lines import Answer, Entry, Header, Recording, describe_device
from profiles.live.session import Session, replay
from profiles.live.verdict import Verdict
from profiles.model import Device
from tests.live.simulated import INSTANCE, SimulatedBox, full_test, make_box, run_test

BOX = FoundBox(INSTANCE, "Bench box", "1209", "0001", serial="A1")


def press(number: int, at: float, length: float = 80.0) -> list[Entry]:
    return [Event(at, INSTANCE, "down", number), Event(at + length, INSTANCE, "up", number)]


@pytest.fixture
def device() -> Device:
    """b11 to b22 are inputs 1 to 4."""
    return make_box(2, 2, rotary=False)


@pytest.fixture
def session(device: Device) -> Session:
    started = Session(device, instance=INSTANCE)
    started.take(Event(0.0, INSTANCE, "added", box=BOX), Answer(0.0, "next"))
    return started


def kinds(session: Session) -> list[str]:
    return [verdict.kind for verdict in session.verdicts()]


def words(session: Session) -> str:
    return session.verdicts()[-1].words


def key(session: Session) -> str:
    return session.step.key if session.step else ""


def test_a_step_ends_by_itself_when_the_box_is_quiet(session: Session) -> None:
    session.take(*press(1, 1000.0))
    session.tick(1329.0)
    assert key(session) == "press b11.press"
    session.tick(1330.0)
    assert key(session) == "press b12.press"
    assert kinds(session) == ["right", "right"]
    assert words(session) == "heard input 1"


def test_a_held_button_does_not_end_its_step(session: Session) -> None:
    session.take(Event(1000.0, INSTANCE, "down", 1))
    session.tick(60_000.0)
    assert key(session) == "press b11.press"


@pytest.mark.parametrize(
    ("entries", "kind", "said"),
    [
        (press(3, 10), "wrong", "heard input 3 instead of input 1"),
        ([*press(1, 10), *press(3, 20)], "extra", "heard input 3 too"),
        ([Answer(10.0, "next")], "missing", "did not hear input 1"),
        (
            [*press(1, 10, 5), *press(1, 25)],
            "bouncing",
            "input 1 bounced, with gaps of up to 10 ms",
        ),
        ([Answer(10.0, "skip")], "skipped", "not tested"),
    ],
)
def test_a_step_is_judged(session: Session, entries: list[Entry], kind: str, said: str) -> None:
    session.take(*sorted(entries, key=lambda entry: entry.time))
    session.tick(5000.0)
    assert (kinds(session)[-1], words(session)) == (kind, said)


def toggled(*entries: Entry) -> Verdict:
    """The verdict on a toggle that was asked to be put on."""
    session = Session(make_box(3, 3), instance=INSTANCE)
    session.take(Event(0.0, INSTANCE, "added", box=BOX), Answer(0.0, "next"), *entries)
    session.tick(5000.0)
    return session.verdicts()[-1]


@pytest.mark.parametrize(
    ("entries", "kind", "said"),
    [
        ([Event(10.0, INSTANCE, "down", 1)], "right", "heard input 1"),
        (press(5, 10), "wrong", "heard input 5 instead of input 1"),
        (press(1, 10), "missing", "heard input 1, which did not stay down"),
        ([Event(10.0, INSTANCE, "down", 1), *press(5, 20)], "extra", "heard input 5 too"),
    ],
)
def test_a_toggle_is_judged_by_what_stays_and_by_what_pulses_elsewhere(
    entries: list[Entry], kind: str, said: str
) -> None:
    verdict = toggled(*entries)
    assert (str(verdict.step.contact), verdict.kind, verdict.words) == ("b11.on", kind, said)


def test_a_hat_or_an_axis_that_moves_instead_is_told(session: Session) -> None:
    session.take(
        Event(10.0, INSTANCE, "axis", 2, -32768),
        Event(20.0, INSTANCE, "axis", 3, 100),
        Event(30.0, INSTANCE, "hat", 1, 4),
        Event(40.0, INSTANCE, "axis", 2, 0),
        Event(50.0, INSTANCE, "axis", 3, 900),
        Answer(1000.0, "next"),
    )
    assert kinds(session)[-1] == "missing"
    assert words(session) == "did not hear input 1; but axis 2 and hat 1 moved"
    session.take(Answer(2000.0, "next"))
    assert words(session) == "did not hear input 2"


def test_an_answer_just_after_a_step_ended_by_itself_is_not_for_the_next(session: Session) -> None:
    session.take(*press(1, 1000.0))
    session.tick(1331.0)
    session.take(Answer(1700.0, "next"))
    assert key(session) == "press b12.press"
    session.take(Answer(1731.0, "next"))
    assert key(session) == "press b21.press"


def test_pressing_twice_at_a_hands_pace_is_no_bounce(session: Session) -> None:
    session.take(*press(1, 10), *press(1, 200))
    session.tick(5000.0)
    assert kinds(session)[-1] == "right"


def test_back_asks_again_and_the_new_answer_counts(session: Session) -> None:
    session.take(*press(3, 1000.0), Answer(2000.0, "back"), *press(1, 3000.0))
    session.tick(5000.0)
    assert kinds(session) == ["right", "right"]


def test_again_forgets_what_was_heard_in_this_step(session: Session) -> None:
    session.take(
        Event(10.0, INSTANCE, "down", 3),
        Event(20.0, INSTANCE, "up", 3),
        Answer(30.0, "again"),
        *press(1, 1000.0),
    )
    session.tick(5000.0)
    assert kinds(session)[-1] == "right"


def test_back_at_the_beginning_stays_there(device: Device) -> None:
    session = Session(device, instance=INSTANCE)
    session.take(Answer(0.0, "back"), Answer(0.0, "back"))
    assert key(session) == "rest"


def test_a_skipped_step_keeps_what_was_heard_before(session: Session) -> None:
    session.take(*press(1, 1000.0), Answer(2000.0, "back"), Answer(2001.0, "skip"))
    assert kinds(session) == ["right", "right"]


def test_after_the_last_step_nothing_is_asked(session: Session) -> None:
    session.take(*(Answer(10.0, "skip") for _ in range(9)))
    session.take(session.think())
    assert (session.phase, session.step) == ("finished", None)


def test_unplugging_in_a_step_voids_it_and_it_is_asked_again(session: Session) -> None:
    session.take(
        Event(1000.0, INSTANCE, "down", 3),
        Event(1010.0, INSTANCE, "removed", box=BOX),
    )
    assert session.phase == "unplugged"
    again = FoundBox(9, "Bench box", "1209", "0001", serial="A1")
    session.take(Event(9000.0, 9, "added", box=again))
    assert (session.phase, session.instance, key(session)) == ("asking", 9, "press b11.press")
    session.take(Event(9100.0, 9, "down", 1), Event(9200.0, 9, "up", 1))
    session.tick(9900.0)
    assert kinds(session) == ["right", "right"]


def test_the_twin_is_not_taken_for_the_box_that_was_unplugged(session: Session) -> None:
    twin = FoundBox(8, "Bench box", "1209", "0001", serial="B7")
    session.take(
        Event(900.0, 8, "added", box=twin),
        Event(950.0, 8, "down", 2),
        Event(1000.0, INSTANCE, "removed", box=BOX),
        Event(1100.0, 8, "removed", box=twin),
        Event(1200.0, 10, "added", box=FoundBox(10, "Bench box", "1209", "0001", serial="B7")),
    )
    assert (session.phase, session.instance, session.down) == ("unplugged", None, frozenset())


def test_a_second_box_of_the_same_make_is_not_listened_to(session: Session) -> None:
    session.take(Event(900.0, 8, "added", box=BOX), Event(950.0, 8, "down", 2))
    session.tick(5000.0)
    assert session.down == frozenset()
    assert key(session) == "press b11.press"


def test_what_is_down_at_the_start_belongs_to_rest(device: Device) -> None:
    session = Session(device, instance=INSTANCE)
    session.take(Event(0.0, INSTANCE, "added", box=BOX, down=(4,)), Answer(1.0, "next"))
    assert kinds(session) == ["extra"]
    assert words(session) == "heard input 4 too"


def test_a_clock_that_jumps_back_gives_no_negative_times(session: Session) -> None:
    session.take(
        Event(5000.0, INSTANCE, "down", 1),
        Event(20.0, INSTANCE, "up", 1),
        Answer(10.0, "next"),
    )
    (one,) = [seen for seen in session.observations if seen.step.gesture == "press"]
    assert [(press.start, press.end) for press in one.presses] == [(5000.0, 5000.0)]


def test_a_flood_of_a_thousand_events_a_second_is_all_heard(session: Session) -> None:
    events = [
        Event(float(at), INSTANCE, "down" if at % 2 == 0 else "up", 1 + at // 2 % 2)
        for at in range(60_000)
    ]
    session.take(*events, Answer(60_000.0, "next"))
    one = session.observations[-1]
    assert len(one.presses) == 30_000
    assert kinds(session)[-1] == "extra"


def test_turns_are_counted(device: Device) -> None:
    boxed = make_box(3, 4)
    session = run_test(Session(boxed, instance=INSTANCE), SimulatedBox(boxed))
    verdict = next(one for one in session.verdicts() if one.step.gesture == "turn")
    assert (verdict.kind, verdict.words) == ("right", "heard every one of 10 detents")


def entries_of(device: Device) -> list[Entry]:
    """All that happens in the test of a box that was soldered well."""
    box, session = SimulatedBox(device), Session(device, "full", instance=INSTANCE)
    entries: list[Entry] = [Event(0.0, INSTANCE, "added", down=tuple(box.levels(box.closed)))]
    session.take(*entries)
    while (step := session.step) is not None:
        fresh: list[Entry] = [*box.perform(step)]
        session.take(*fresh)
        session.tick(box.time)
        if session.step is step:
            fresh.append(Answer(box.time, "next"))
            session.take(fresh[-1])
        entries += fresh
    return [*entries, session.think(), Answer(box.time, "stop")]


def test_a_box_as_described_is_right_in_every_step() -> None:
    for diodes in (False, True):
        assert set(kinds(full_test(make_box(4, 5, diodes=diodes)))) == {"right"}


def header(device: Device) -> Header:
    return Header(device.id, describe_device(device), "1", depth="full", instance=INSTANCE)


def test_a_record_replays_to_the_same_session() -> None:
    device = make_box(3, 4, diodes=True)
    recording = Recording(header(device), tuple(entries_of(device)))
    session = replay(device, recording)
    assert session.phase == "finished"
    assert set(kinds(session)) == {"right"}
    assert not session.changed


def test_any_beginning_of_a_record_replays_to_what_was_done_by_then() -> None:
    device = make_box(2, 3)
    entries = entries_of(device)
    whole = replay(device, Recording(header(device), tuple(entries)))
    for count in range(len(entries)):
        part = replay(device, Recording(header(device), tuple(entries[:count])))
        done = len(part.observations)
        assert part.observations == whole.observations[:done]


def test_stopping_and_going_on_with_another_instance_loses_nothing(device: Device) -> None:
    session = Session(device, instance=INSTANCE)
    session.take(
        Event(0.0, INSTANCE, "added", box=BOX),
        Answer(1.0, "next"),
        *press(1, 1000.0),
        Answer(2000.0, "stop"),
    )
    assert (session.phase, key(session)) == ("stopped", "press b12.press")
    session.take(
        Event(3000.0, 9, "added", box=FoundBox(9, "Bench box", "1209", "0001", serial="A1"))
    )
    assert (session.phase, kinds(session)) == ("asking", ["right", "right"])


def test_a_record_of_another_device_is_refused(device: Device) -> None:
    with pytest.raises(LiveError) as caught:
        replay(device, Recording(Header("\x1b[2J", "ab", "1"), ()))
    assert caught.value.message == "The recording is of ␛[2J, not of bench"


def test_a_device_file_that_changed_since_is_noticed(device: Device) -> None:
    assert replay(device, Recording(Header(device.id, "other", "1"), ())).changed


def test_host_numbers_that_differ_from_inputs_are_mapped(device: Device) -> None:
    session = Session(device, instance=INSTANCE, inputs={12: 1})
    session.take(Event(0.0, INSTANCE, "added"), Answer(0.0, "next"), *press(12, 1000.0))
    session.tick(5000.0)
    assert kinds(session) == ["right", "right"]


def test_of_a_step_asked_again_the_last_time_that_it_was_done_counts(session: Session) -> None:
    session.take(*press(1, 1000.0), Answer(2000.0, "next"))
    done = session.tries[0]
    again = replace(done, presses=())

    class Asked(Session):
        tries = (done, again, replace(done, skipped=True))

    asked = Asked(session.device, instance=INSTANCE)
    assert asked.observations == (again,)


def free(device: Device) -> Session:
    """A test that waits for no answers."""
    started = Session(device, instance=INSTANCE, patience=6000.0)
    started.take(Event(0.0, INSTANCE, "added", box=BOX))
    return started


def test_a_hand_that_begins_has_put_everything_to_rest(device: Device) -> None:
    session = free(device)
    session.take(*press(1, 900.0))
    session.tick(1400.0)
    assert key(session) == "press b12.press"
    assert kinds(session) == ["right", "right"]


def test_what_is_down_at_rest_as_described_begins_nothing() -> None:
    boxed = make_box(3, 3)
    session = free(boxed)
    session.take(Event(900.0, INSTANCE, "down", 40))
    session.tick(1400.0)
    assert key(session) == "rest"


def work_in_rhythm(session: Session, numbers: list[int | None], pace: float) -> None:
    """A hand that presses on at its own pace, whether or not it is heard."""
    for at, number in enumerate(numbers, 1):
        if number is not None:
            session.take(*press(number, at * pace))
        session.tick(at * pace + 900.0)


def test_a_hand_that_went_on_past_a_silent_contact_is_followed() -> None:
    boxed = make_box(4, 4, rotary=False)
    session = free(boxed)
    work_in_rhythm(session, [1, 2, 3, 4, None, 6, 7, 8], 1000.0)
    assert (session.caught_up, key(session)) == (1, "press b31.press")
    told = {str(one.step.contact): one.kind for one in session.verdicts() if one.step.contact}
    assert told.pop("b21.press") == "missing"
    assert set(told.values()) == {"right"}


def test_lines_that_are_exchanged_are_no_hand_that_went_on() -> None:
    """The second row is heard as the third, each sound as soon as it is asked for."""
    boxed = make_box(4, 3, rotary=False)
    session = free(boxed)
    work_in_rhythm(session, [1, 2, 3, 7, 8, 9, 4, 5, 6, 10, 11, 12], 1000.0)
    assert (session.caught_up, session.position) == (0, 13)


def test_one_wrong_press_is_no_hand_that_went_on() -> None:
    boxed = make_box(4, 4, rotary=False)
    session = free(boxed)
    work_in_rhythm(session, [1, 2, 3, 5, 5, 6, 7, 8], 1000.0)
    assert session.caught_up == 0


@pytest.mark.parametrize("patience", [0.0, 6000.0])
@pytest.mark.parametrize("pulses", [0, 4, 10, 23])
def test_a_turn_ends_by_time_however_many_pulses_there_were(patience: float, pulses: int) -> None:
    boxed = make_box(3, 3)
    steps = [one for one in Session(boxed).steps if one.gesture == "turn"]
    session = Session(boxed, instance=INSTANCE, steps=steps, patience=patience)
    session.take(Event(0.0, INSTANCE, "added", box=BOX))
    for at in range(pulses):
        session.take(*press(10, 1000.0 + 60.0 * at, 30.0))
    last = 970.0 + 60.0 * pulses
    session.tick(last + 1499.0)
    assert session.position == 0
    session.tick(last + 1500.0)
    assert session.position == (pulses > 0)
    if not pulses:  # silence: by the patience, or by an answer
        session.tick(20_000.0)
        assert (session.position > 0) == (patience > 0.0)
