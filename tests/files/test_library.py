"""A folder is read as one library, with every problem in it, in its place."""

import json
import os
import sys
from pathlib import Path

import pytest

from profiles.checks.codes import read_family
from profiles.files.folder import NoLibraryError, find_library
from profiles.files.library import (
    LoadedLibrary,
    load_library,
)
from profiles.files.schema import schema_files
from profiles.model import Finding, Place, Related, Spot
from tests.systems.apart import drop_privileges
from tests.systems.meanwhile import begin
from tests.work.libraries import write_desk

EXAMPLES = Path(__file__).parents[2] / "example_profiles"
DEVICE = """\
format = 1
[device]
id = "helm-desk"
name = "Helm desk"
[plate]
width = 220.0
height = 120.0
[controls.horn]
kind = "momentary"
label = "HORN"
position = [30.0, 90.0]
hole = 16.2
"""
APPLICATION = """\
format: 1
application: {id: harbour, name: Harbour}
actions:
  sound-horn: {name: Sound the horn}
"""
PROFILE = '{"format": 1, "profile": {"application": "harbour", "device": "helm-desk"}}'


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    _write(tmp_path / "devices" / "helm.toml", DEVICE)
    _write(tmp_path / "harbour.YAML", APPLICATION)
    _write(tmp_path / "deep" / "er" / "p.json", PROFILE)
    return tmp_path


def _write(path: Path, text: str) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, "utf-8")
    return path


def _tell(loaded: LoadedLibrary) -> list[str]:
    """Problems in one line each, files relative to the library."""
    told = []
    for one in loaded.problems:
        assert one.place is not None
        name = Path(one.place.file).relative_to(loaded.folder).as_posix()
        told.append(f"{name}:{one.place.line}:{one.place.column} {one.code}: {one.message}")
    return told


def test_three_formats_side_by_side_make_one_library(folder: Path) -> None:
    loaded = load_library(folder)
    assert loaded.problems == ()
    assert loaded.notes == ()
    assert list(loaded.library.devices) == ["helm-desk"]
    assert list(loaded.library.applications) == ["harbour"]
    assert list(loaded.library.profiles) == ["harbour-on-helm-desk"]
    assert {one.kind for one in loaded.sources.values()} == {"device", "application", "profile"}


def test_spots_are_located_in_all_three_formats(folder: Path) -> None:
    loaded = load_library(folder)
    helm = (folder / "devices" / "helm.toml").as_posix()
    yaml, json = (folder / "harbour.YAML").as_posix(), (folder / "deep/er/p.json").as_posix()
    for spot, place in [
        (Spot("helm-desk", ("controls", "horn", "hole")), Place(helm, 12, 1, 12)),
        (Spot("helm-desk", ("controls", "horn", "front")), Place(helm, 8, 11, 15)),
        (Spot("helm-desk"), Place(helm)),
        (Spot("harbour", ("actions", "sound-horn")), Place(yaml, 4, 3, 37)),
        (Spot("harbour-on-helm-desk", ("profile", "device")), Place(json, 1, 53, 74)),
        (Spot("nobody", ("a",)), None),
    ]:
        assert loaded.locate(spot) == place


def test_a_finding_and_its_related_spots_get_their_places(folder: Path) -> None:
    loaded = load_library(folder)
    horn = Spot("helm-desk", ("controls", "horn"))
    related = (Related("used here", Spot("harbour-on-helm-desk", ("profile", "device"))),)
    found = loaded.located(Finding("x", "error", "m", "r", horn, related))
    assert found.place is not None
    assert loaded.excerpt(found.place) == "[controls.horn]"
    assert found.related[0].place == loaded.locate(related[0].spot)


def test_a_file_that_changed_since_gives_no_line(folder: Path) -> None:
    loaded = load_library(folder)
    path = _write(folder / "devices" / "helm.toml", "# new\n" + DEVICE)
    assert loaded.locate(Spot("helm-desk", ("plate", "width"))) == Place(path.as_posix())
    path.unlink()
    assert load_library(folder).locate(Spot("helm-desk")) is None


def test_all_problems_of_all_files_come_in_one_run(folder: Path) -> None:
    _write(folder / "a.toml", "x = ")
    _write(folder / "b.yaml", "format: 1\ndevice: {id: b, name: 3, nme: x}\nplate: {width: -1}\n")
    _write(folder / "c.json", '{"format": 9, "device": {}}')
    _write(folder / "d.toml", "format = 1\n[devise]\n")
    assert _tell(load_library(folder)) == [
        "a.toml:1:3 broken-syntax: TOML stops here: a key without a value",
        "b.yaml:None:None missing-key: the file has no `controls`",
        "b.yaml:2:23 wrong-value: `device.name` is 3, not text",
        "b.yaml:2:26 unknown-key: unknown key `nme` in `device`",
        "b.yaml:3:1 missing-key: `plate` has no `height`",
        "b.yaml:3:16 wrong-value: `plate.width` must be a number above 0",
        "c.json:1:12 newer-format: format 9 is newer than the 1 read here",
        "d.toml:2:2 missing-key: no table `device`, `application`, `profile`, `board` or `part`",
    ]


def test_an_id_given_twice_is_shown_at_both_places(folder: Path) -> None:
    first, second = folder / "devices" / "helm.toml", folder / "z.yaml"
    _write(second, APPLICATION.replace("harbour", "helm-desk"))
    (problem,) = load_library(folder).problems
    assert problem.code == "repeated-id"
    assert problem.message == "id `helm-desk` is given twice in the library"
    assert problem.place == Place(second.as_posix(), 2, 15, 28)
    assert [one.place for one in problem.related] == [Place(first.as_posix(), 3, 1, 17)]


def test_files_that_are_not_ours_are_noted(folder: Path) -> None:
    path = _write(folder / "other.toml", "[tool]\n")
    nested = _write(folder / "deep" / "platebook.toml", "format = 1\n")
    _write(folder / ".hidden" / "x.toml", "x =")
    _write(folder / ".hidden.toml", "x =")
    _write(folder / "notes.txt", "x =")
    loaded = load_library(folder)
    assert loaded.problems == ()
    assert loaded.notes == (
        f"{nested.as_posix()}: settings are read at the top of the library only",
        f"{path.as_posix()}: not read, no `format` and no table of ours",
    )


def test_settings_are_read_from_the_top(folder: Path) -> None:
    _write(folder / "platebook.toml", 'format = 1\n[severity]\nsome-code = "off"\n')
    loaded = load_library(folder)
    assert loaded.library.settings.severity == {"some-code": "off"}
    place = loaded.locate(Spot("platebook.toml", ("severity", "some-code")))
    assert place == Place((folder / "platebook.toml").as_posix(), 3, 1, 18)


@pytest.mark.skipif(os.name != "posix", reason="links of POSIX")
def test_folders_linked_in_a_circle_are_read_once(folder: Path) -> None:
    (folder / "deep" / "up").symlink_to("..")
    (folder / "deep" / "top").symlink_to(folder)
    (folder / "again").symlink_to("devices")
    (folder / "self.toml").symlink_to("self.toml")
    loaded = load_library(folder)
    assert _tell(loaded) == [
        "self.toml:None:None unreadable-file: link `self.toml` leads in a circle"
    ]
    assert list(loaded.library.devices) == ["helm-desk"]


@pytest.mark.skipif(os.name != "posix", reason="links of POSIX")
def test_links_out_of_the_library_are_told_and_not_followed(
    tmp_path_factory: pytest.TempPathFactory, folder: Path
) -> None:
    outside = tmp_path_factory.mktemp("outside")
    _write(outside / "x.toml", "format = 2\n[device]\n")
    (folder / "away").symlink_to(outside)
    (folder / "x.toml").symlink_to(outside / "x.toml")
    (folder / "zero.toml").symlink_to("/dev/zero")
    loaded = load_library(folder)
    assert _tell(loaded) == [
        f"{name}:None:None unreadable-file: link `{name}` leads out of the library and is not "
        "followed"
        for name in ("away", "x.toml", "zero.toml")
    ]
    assert list(loaded.library.devices) == ["helm-desk"]


@pytest.mark.skipif(os.name != "posix", reason="links of POSIX")
def test_a_library_may_itself_be_reached_by_a_link(
    tmp_path_factory: pytest.TempPathFactory, folder: Path
) -> None:
    linked = tmp_path_factory.mktemp("beside") / "linked"
    linked.symlink_to(folder)
    loaded = load_library(linked)
    assert loaded.problems == ()
    assert list(loaded.library.devices) == ["helm-desk"]


def test_a_thousand_folders_in_one_another_are_read(folder: Path) -> None:
    nested = [folder / Path(*["d"] * depth) for depth in range(1, 1001)]
    for path in nested:
        path.mkdir()
    file = _write(nested[-1] / "other.toml", "[tool]\n")
    loaded = load_library(folder)
    file.unlink()
    for path in reversed(nested):  # what clears up after the tests cannot go so deep
        path.rmdir()
    assert loaded.problems == ()
    assert loaded.notes == (f"{file.as_posix()}: not read, no `format` and no table of ours",)


def test_a_folder_named_like_a_file_is_a_folder(folder: Path) -> None:
    _write(folder / "box.toml" / "a.toml", "format = 2\n[device]\n")
    assert _tell(load_library(folder)) == [
        "box.toml/a.toml:1:10 newer-format: format 2 is newer than the 1 read here"
    ]


def test_a_name_that_is_no_text_is_shown_all_the_same(folder: Path) -> None:
    try:
        Path(os.fsdecode(os.fsencode(folder) + b"/\xff.toml")).write_text("x =")
    except OSError:
        pytest.skip("this file system takes names of text only")
    (problem,) = load_library(folder).problems
    assert problem.place is not None
    assert problem.place.file == f"{folder.as_posix()}/\\xff.toml"
    assert load_library(folder).excerpt(problem.place) == "x ="


def test_the_library_is_the_options_then_the_environments_then_here(tmp_path: Path) -> None:
    one, two = tmp_path / "one", tmp_path / "two"
    one.mkdir()
    two.mkdir()
    environ = {"PLATEBOOK_LIBRARY": str(two)}
    assert find_library(str(one), environ, tmp_path) == one
    assert find_library(None, environ, tmp_path) == two
    assert find_library(None, {"PLATEBOOK_LIBRARY": ""}, tmp_path) == tmp_path
    with pytest.raises(NoLibraryError) as caught:
        find_library("no/such", {}, tmp_path)
    assert str(caught.value) == (
        "--library names `no/such`, which is no folder; name the folder that holds your files"
    )
    with pytest.raises(NoLibraryError, match=r"^PLATEBOOK_LIBRARY names `nowhere`"):
        find_library(None, {"PLATEBOOK_LIBRARY": "nowhere"}, tmp_path)
    with pytest.raises(NoLibraryError, match="is no folder"):
        load_library(tmp_path / "no\0where")


def test_the_example_library_has_no_problems() -> None:
    loaded = load_library(EXAMPLES / "harbour")
    assert (loaded.problems, loaded.notes) == ((), ())
    assert {one.format for one in loaded.sources.values()} == {"toml", "yaml", "json"}


def test_every_code_has_a_page_and_no_other() -> None:
    """The codes are those that the sources of this room name."""
    room = Path(__file__).parents[2] / "profiles" / "files"
    sources = "".join(path.read_text("utf-8") for path in room.glob("*.py"))
    codes = read_family("files")
    for code in codes:
        assert f'"{code}"' in sources
    assert {problem.code for problem in load_library(EXAMPLES / "broken").problems} <= set(codes)


def test_a_sheet_written_beside_the_files_is_no_part_of_a_library(tmp_path: Path) -> None:
    sheet = {"format": 1, "sheet": "card", "rows": [], "$comment": "Made by Platebook, digest 0"}
    _write(tmp_path / "card.json", json.dumps(sheet))
    loaded = load_library(tmp_path)
    assert (loaded.problems, loaded.notes) == ((), ())


def test_the_programs_own_schemas_are_no_part_of_a_library(tmp_path: Path) -> None:
    (tmp_path / "schemas").mkdir()
    for name, text in schema_files().items():
        (tmp_path / "schemas" / name).write_text(text, encoding="utf-8")
    loaded = load_library(tmp_path)
    assert (loaded.problems, loaded.notes) == ((), ())
    foreign = {"$schema": "https://json-schema.org/draft/2020-12/schema", "$id": "urn:other"}
    _write(tmp_path / "other.schema.json", json.dumps(foreign))
    assert load_library(tmp_path).notes == (
        f"{tmp_path.as_posix()}/other.schema.json: not read, no `format` and no table of ours",
    )


@pytest.mark.skipif(sys.platform != "linux", reason="capabilities of Linux")
@pytest.mark.parametrize("mode", [0o000, 0o400, 0o100], ids=["neither", "listed", "entered"])
def test_a_folder_that_may_not_be_read_is_one_finding_and_the_rest_is_read(
    tmp_path: Path, mode: int
) -> None:
    """Listing a folder and entering it are two rights (POSIX.1-2017, 4.5)."""
    write_desk(tmp_path / "library")
    locked = tmp_path / "library" / "locked"
    locked.mkdir()
    for name in ("one.toml", "two.toml"):
        (locked / name).write_text("format = 1\n", "utf-8")
    locked.chmod(mode)

    def read() -> int:
        if os.getuid() == 0:
            drop_privileges()
        loaded = load_library(Path("library"))
        print(*(problem.message for problem in loaded.problems), sep="\n", file=sys.stderr)
        return len(loaded.library.documents)

    told = begin(tmp_path, read).finish()
    locked.chmod(0o700)
    assert told == (5, "folder `locked` may not be listed or entered\n")
