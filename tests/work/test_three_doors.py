"""What a sheet is asked for on the command line, on the screen and in Python is one thing.

Every sheet, every option, the values at the ends of its range and just outside, and values of
another type: each door writes the same file under the same name, or refuses in the same words.
"""

import sys
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from profiles.api import load, print_sheets
from profiles.files.library import LoadedLibrary
from profiles.sheets.options import Option, RequestError, options_of
from profiles.sheets.requests import SHEETS
from profiles.tui.printing import Form, print_form
from tests.conftest import Run

EXTRAS = ("manifold3d", "numpy", "pypdfium2", "sdl2")
"""What a plain install does not have."""


class Case(NamedTuple):
    """One option given, as text and as Python would give it."""

    sheet: str
    option: str
    text: str
    value: object
    form: str = ""


def number_values(option: Option) -> Iterator[tuple[str, object]]:
    """The ends of a range, just outside of them, and what is no number."""
    step = min(0.01, option.least / 2) or 0.01
    for value in (
        *(option.least, option.least - step, option.least + step),
        *(option.greatest, option.greatest + step, 0.0, -1.0, 1e308),
    ):
        yield repr(value), value
        yield repr(value), repr(value)
    yield repr(int(option.greatest)), int(option.greatest)
    yield "nan", float("nan")
    yield "inf", float("inf")
    for word in ("wide", "1 mm", "1,5", "1e999"):
        yield word, word
    yield "True", True
    yield "[1]", [1]


def choice_values(option: Option) -> Iterator[tuple[str, object]]:
    for word in option.choices:
        yield word, word
        yield word.upper(), word.upper()
        if word.isdecimal():
            yield word, int(word)
            yield word, float(word)
    for word in ("13", "a9", "title", "papers", "both, fixed"):
        yield word, word
    yield "13", 13
    yield "True", True


def cases() -> Iterator[Case]:
    for sheet, kind in SHEETS.items():
        for form in (*kind.formats, "doc", "gif"):
            yield Case(sheet, "format", form, form, form)
        for name, option in options_of(kind).items():
            values = choice_values if option.choices else number_values
            if option.is_flag:
                yield Case(sheet, name, "yes", True)
                yield Case(sheet, name, "no", False)
                continue
            for text, value in values(option):
                yield Case(sheet, name, text, value)


class Door(NamedTuple):
    """What came out of a door: files by name, or a refusal with its way out."""

    files: dict[str, bytes]
    refusal: str = ""


def command_line(platebook: Run, folder: Path, case: Case, target: Path) -> Door:
    words: list[str | Path] = ["print", case.sheet, "--library", folder, "--no-date"]
    if SHEETS[case.sheet].takes[1]:
        words += ["--profile", "harbour-desk"]
    if case.text in ("yes", "no") and options_of(SHEETS[case.sheet])[case.option].is_flag:
        words += [f"--{case.option}"] if case.value else []
    else:
        words.append(f"--{case.option}={case.text}")
    ran = platebook(*words, "-o", f"{target}/")
    assert ran.code in (0, 2)
    if ran.code == 0:
        return Door({path.name: path.read_bytes() for path in target.iterdir()})
    assert not target.exists()
    lines = ran.err.removeprefix("platebook: ").splitlines()
    return Door({}, "\n".join(line.strip() for line in lines))


def refused(error: RequestError) -> Door:
    return Door({}, "\n".join(filter(None, [str(error), error.remedy])))


def screen(loaded: LoadedLibrary, case: Case, target: Path) -> Door:
    form = Form(is_dated=False).of_sheet(case.sheet)
    try:
        if SHEETS[case.sheet].takes[1]:
            form = form.with_profiles(("harbour-desk",))
        print_form(loaded.library, form.typed(case.option, case.text), "desk", f"{target}/")
    except RequestError as error:
        assert not target.exists()
        return refused(error)
    return Door({path.name: path.read_bytes() for path in target.iterdir()})


def python(loaded: LoadedLibrary, case: Case) -> Door:
    given: dict[str, Any] = {"form": case.form} if case.form else {case.option: case.value}
    if SHEETS[case.sheet].takes[1]:
        given["profiles"] = ["harbour-desk"]
    try:
        (printed,) = print_sheets(loaded, case.sheet, **given)
    except RequestError as error:
        return refused(error)
    return Door({printed.sheet.name: printed.data})


@pytest.fixture(params=["with extras", "plain"])
def extras(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    if request.param == "plain":
        for name in EXTRAS:
            monkeypatch.setitem(sys.modules, name, None)
    return str(request.param)


@pytest.fixture
def open_doors(
    platebook: Run, library: Path, tmp_path: Path, extras: str
) -> Callable[[Case], tuple[Door, Door, Door]]:
    loaded, number = load(library), count()

    def open_all(case: Case) -> tuple[Door, Door, Door]:
        places = [tmp_path / f"{door}-{next(number)}" for door in ("cli", "tui")]
        return (
            command_line(platebook, library, case, places[0]),
            screen(loaded, case, places[1]),
            python(loaded, case),
        )

    return open_all


@pytest.mark.parametrize("sheet", SHEETS)
def test_three_doors_give_one_file_or_one_refusal(
    open_doors: Callable[[Case], tuple[Door, Door, Door]], extras: str, sheet: str
) -> None:
    made = unmade = 0
    for case in cases():
        if case.sheet != sheet:
            continue
        by_command, on_screen, in_python = open_doors(case)
        assert on_screen == by_command, case
        assert in_python.refusal == by_command.refusal, case
        assert list(in_python.files.values()) == list(by_command.files.values()), case
        stems = [Path(name).stem for name in by_command.files]
        assert list(in_python.files) == stems, case
        made += bool(by_command.files)
        unmade += bool(by_command.refusal)
    assert unmade
    assert made or (sheet, extras) == ("plate", "plain")
