"""`platebook session`: through the application's settings page, ticked off and resumed."""

import io
import json
from pathlib import Path

import pypdfium2
import pytest

from profiles.sheets.session_steps import list_steps, say_first
from profiles.work.outputs import stamp
from tests.cli.conftest import EXAMPLES, Ran, Run, edit
from tests.sheets.titles import harbour

TRAM = "cobblegate-on-helm-desk"


@pytest.fixture
def session(platebook: Run, monkeypatch: pytest.MonkeyPatch, library: Path) -> "Session":
    return Session(platebook, monkeypatch, library)


class Session:
    """Runs of a session in the small library, with these answers typed."""

    def __init__(self, run: Run, monkeypatch: pytest.MonkeyPatch, library: Path) -> None:
        self.run, self.monkeypatch, self.library = run, monkeypatch, library

    def answer(self, typed: str, *words: str) -> Ran:
        self.monkeypatch.setattr("sys.stdin", io.StringIO(typed))
        return self.run("session", "--library", self.library, *words)


def test_each_step_says_what_to_move_and_what_should_show(session: Session) -> None:
    ran = session.answer("\n\n")
    assert ran.code == 0
    assert ran.out == (
        "\n1/2  Sound the horn\n  press HORN\n  it should show: Button 1\n"
        "\n2/2  Ring the bell\n  press BELL\n  it should show: Button 2\n"
        "\n2 steps done, 0 skipped, 0 open.\n"
    )
    assert ran.err == 2 * "Enter: done   s: skip   b: back   q: quit\n"


def test_a_session_left_is_resumed_where_it_was(session: Session) -> None:
    assert session.answer("\nq\n").code == 1
    ran = session.answer("s\n")
    assert ran.out.startswith("Resumed at step 2 of 2.\n\n2/2  Ring the bell\n")
    assert ran.out.endswith("\n1 step done, 1 skipped, 0 open.\n")
    assert ran.code == 0
    assert session.answer("").out == "\n1 step done, 1 skipped, 0 open.\n"


def test_what_changed_since_is_open_again(session: Session) -> None:
    session.answer("\n\n")
    edit(session.library / "desk.toml", "input = 2", "input = 5")
    found = json.loads(session.answer("", "--list", "--json").out)
    assert [(one["done"], one["shows"]) for one in found["steps"]] == [
        ("[x]", "Button 1"),
        ("[ ]", "Button 5"),
    ]


def test_back_opens_the_step_before_and_restart_all(session: Session) -> None:
    assert "0 steps done, 0 skipped, 2 open." in session.answer("\nb\nq\n").out
    session.answer("\n\n")
    assert "0 steps done, 0 skipped, 2 open." in session.answer("q\n", "--restart").out
    ran = session.answer("x\nq\n", "--restart")
    assert "`x` is no answer here\n" in ran.err


def test_somebody_elses_file_is_left_alone(session: Session) -> None:
    Path("harbour-desk-session.json").write_text('{"mine": 1}', "utf-8")
    ran = session.answer("\n")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == (
        "platebook: `harbour-desk-session.json` is no file of a binding session of "
        "`harbour-desk`\n  Name another with --state, or delete it.\n"
    )
    assert Path("harbour-desk-session.json").read_text("utf-8") == '{"mine": 1}'


@pytest.mark.parametrize(
    "data", [b"[" * 100_000, b'{"profile": "harbour-desk", "states": [1]}', b'{"a": {"states": 1}}']
)
def test_a_state_that_somebody_else_made_is_refused(session: Session, data: bytes) -> None:
    """With a mark as Platebook gives it to its own files."""
    path = Path("harbour-desk-session.json")
    path.write_bytes(stamp(data, "json"))
    ran = session.answer("\n")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.startswith("platebook: `harbour-desk-session.json` is no file of a binding ")
    assert path.read_bytes() == stamp(data, "json")


def test_the_state_does_not_become_part_of_the_library(session: Session) -> None:
    session.answer("\n", "--state", f"{session.library}/session.json")
    assert (session.library / "session.json").exists()
    assert session.run("check", session.library).code == 0


def test_the_sheet_has_every_step_with_a_box_to_tick(platebook: Run) -> None:
    words = ("--library", EXAMPLES / "harbour", "--no-date")
    assert platebook("session", TRAM, *words, "--sheet", "s.pdf").out == "s.pdf\n"
    pages = [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument("s.pdf")]
    link = harbour().link(TRAM)
    assert "".join(pages).count("[ ]") == len(list_steps(link))
    assert "Before you start" in pages[0]
    assert platebook("session", TRAM, *words, "--sheet", "s.xyz").code == 2


def test_steps_come_in_the_order_of_the_settings_page_and_spare_what_stays() -> None:
    """Every bound action once for each binding; no step asks to leave its own control alone."""
    link = harbour().link(TRAM)
    steps = list_steps(link)
    assert link.application is not None
    order = list(link.application.actions)
    assert [step.action for step in steps] == sorted(
        (one.action_id for one in link.bound), key=order.index
    )
    (mains,) = [step for step in steps if step.action == "battery"]
    assert (mains.move, mains.shows, mains.after) == ("put MAINS on", "B1", "put MAINS off")
    (off,) = [step for step in steps if step.action == "compressor-off"]
    assert off.move == "put PUMP on before you choose the action, then put PUMP off"
    assert off.after == ""
    assert mains.leave == ("LIGHTS", "FLOOD", "MODE")
    assert say_first(link) == [
        "Helm desk: put MAINS off, put LIGHTS off, put FLOOD off, turn MODE to position 1, "
        "and leave it so.",
        "The application takes an input that is already down for the one you mean.",
    ]


def test_a_chord_says_what_to_hold_and_a_knob_turns_one_detent() -> None:
    moves = {step.move for step in list_steps(harbour().link("brackwater-bridge"))}
    assert any(move.startswith("hold: press SHIFT") and "; then press" in move for move in moves)
    assert "turn TRIM (Helm desk) one detent clockwise" in moves


def test_a_place_where_nothing_can_be_kept_is_refused_before_the_first_step(
    session: Session,
) -> None:
    Path("file").write_text("mine", "utf-8")
    ran = session.answer("\n\n", "--state", "file/state.json")
    assert (ran.code, ran.out, ran.err) == (
        *(2, ""),
        "platebook: `file/state.json` cannot be written: its folder would be in the place of a "
        "file\n  Choose another folder.\n",
    )


@pytest.mark.parametrize("typed", [b"\xff\n", b"x" * 10_000, b"\x00" * 5_000 + b"\n"])
def test_what_is_no_answer_ends_nothing_or_is_the_end(session: Session, typed: bytes) -> None:
    session.monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(typed), "utf-8"))
    ran = session.run("session", "--library", session.library)
    assert ran.code == 1
    assert ran.out.endswith("0 steps done, 0 skipped, 2 open.\n")
