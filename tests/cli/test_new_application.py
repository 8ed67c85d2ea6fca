"""`platebook new application`: a copy of an application of another library, or of one's own."""

import tomllib
from pathlib import Path

import pytest

from tests.cli.conftest import EXAMPLES, Run

HARBOUR = EXAMPLES / "harbour"
OF = ("--of", HARBOUR, "--library", "mine")


@pytest.fixture(autouse=True)
def mine(platebook: Run) -> Path:
    folder = Path("mine")
    folder.mkdir()
    return folder


def test_a_strangers_application_is_copied_with_all_but_its_id(platebook: Run, mine: Path) -> None:
    ran = platebook("new", "application", "tug", "--like", "brackwater", *OF)
    assert (ran.code, ran.out, ran.err) == (
        *(0, "mine/tug.toml\n"),
        "edit it, then run `platebook check`\n",
    )
    theirs = (HARBOUR / "applications" / "brackwater.toml").read_bytes()
    copied = theirs.replace(b'id = "brackwater"', b'id = "tug"', 1)
    assert (mine / "tug.toml").read_bytes() == copied
    assert platebook("check", "mine").code == 0


@pytest.mark.parametrize(
    ("like", "notes"),
    [("cobblegate", ""), ("ninefold", "note: ninefold.yaml: 14 comments are not carried over\n")],
)
def test_json_and_yaml_become_toml_and_lost_comments_are_told(
    platebook: Run, mine: Path, like: str, notes: str
) -> None:
    ran = platebook("new", "application", "a", "--name", "Mine", "--like", like, *OF)
    assert (ran.code, ran.err) == (0, f"{notes}edit it, then run `platebook check`\n")
    header = tomllib.loads((mine / "a.toml").read_text("utf-8"))["application"]
    assert (header["id"], header["name"]) == ("a", "Mine")


def test_the_only_application_need_not_be_named_and_a_profile_follows_it(
    platebook: Run, mine: Path
) -> None:
    profile = "cobblegate-on-helm-desk"
    platebook("bundle", "make", profile, "--library", HARBOUR, "-o", "b.zip")
    platebook("bundle", "unpack", "b.zip", "theirs")
    theirs = ("--of", "theirs", "--library", "mine")
    assert platebook("new", "application", "tram", *theirs).code == 0
    assert platebook("new", "device", "box", "--grid", "2x2", "--library", "mine").code == 0
    ran = platebook(
        *("new", "profile", "p", "--like", profile, "--application", "tram", "--device", "box"),
        *theirs,
    )
    assert ran.code == 0, ran.err
    made = tomllib.loads((mine / "p.toml").read_text("utf-8"))["profile"]
    assert made["application"] == "tram"


def test_it_is_shown_and_nothing_is_written(platebook: Run, mine: Path) -> None:
    ran = platebook("new", "application", "tram", "--like", "cobblegate", *OF, "--show")
    assert (ran.code, ran.err) == (0, "nothing is written; without --show the application is\n")
    assert "\nblow-whistle      Blow the whistle              horn         held       want\n" in (
        ran.out
    )
    assert ran.out.endswith("\n36 actions would be copied.\n")
    assert list(mine.iterdir()) == []


def test_an_id_that_is_taken_is_refused_and_another_one_is_not(platebook: Run, mine: Path) -> None:
    words = ("new", "application", "tug", "--like", "brackwater", *OF)
    platebook(*words)
    before = (mine / "tug.toml").read_bytes()
    ran = platebook(*words)
    assert (ran.code, ran.out, ran.err) == (
        *(2, ""),
        "platebook: id `tug` is taken by mine/tug.toml\n  Choose another id.\n",
    )
    assert (mine / "tug.toml").read_bytes() == before
    own = ("new", "application", "tug-2", "--like", "tug", "--library", "mine")
    assert platebook(*own).code == 0


@pytest.mark.parametrize(
    ("words", "error"),
    [
        (
            ("x", "--like", "brackwatr", *OF),
            "platebook: the library has no application `brackwatr`\n  Did you mean `brackwater`?\n",
        ),
        (
            ("x", *OF),
            "platebook: the library has 3 applications\n"
            "  Choose an application: `brackwater`, `cobblegate` or `ninefold`.\n",
        ),
        (
            ("a b", "--like", "brackwater", *OF),
            "platebook: id `a b` is no id: write letters, digits, `-` and `_`, at most 64\n",
        ),
        (
            ("x", "--of", "nowhere"),
            "platebook: --of names `nowhere`, which is no folder; "
            "name the folder that holds your files\n",
        ),
    ],
)
def test_what_leads_nowhere_is_refused(
    platebook: Run, mine: Path, words: tuple[str, ...], error: str
) -> None:
    ran = platebook("new", "application", *words)
    assert (ran.code, ran.out, ran.err) == (2, "", error)
    assert list(mine.iterdir()) == []


@pytest.mark.parametrize(
    ("words", "error"),
    [
        (("--show",), "--show goes with --like or --of"),
        (("--like", "a", "--actions", "f"), "choose either --actions, or --like and --of"),
    ],
)
def test_options_that_do_not_go_together_are_refused(
    platebook: Run, words: tuple[str, ...], error: str
) -> None:
    ran = platebook("new", "application", "x", *words)
    assert (ran.code, ran.out) == (2, "")
    assert error in ran.err
