"""The doors: help, version, misspelt commands, pages, starters, schemas, proposals."""

import json
import subprocess
import sys
from importlib import metadata
from pathlib import Path

import pytest

from profiles.api import finding_pages
from profiles.cli.group import COMMANDS
from tests.cli.conftest import ROOT, Run, edit
from tests.conftest import EXAMPLES


def test_help_lists_every_command(platebook: Run) -> None:
    ran = platebook("--help")
    assert ran.code == 0
    for name, words in COMMANDS.items():
        assert name in ran.out
        assert words in ran.out


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_every_command_has_help_of_its_own(platebook: Run, name: str) -> None:
    ran = platebook(name, "--help")
    assert ran.code == 0
    assert ran.out.startswith(f"Usage: platebook {name}")


def test_a_misspelt_command_gets_one_suggestion(platebook: Run) -> None:
    ran = platebook("chek")
    assert ran.code == 2
    assert ran.err.startswith("platebook: no command `chek`; did you mean `check`?\n")


def test_the_module_is_the_command_line() -> None:
    ran = subprocess.run(
        [sys.executable, "-m", "profiles", "--version"],
        capture_output=True,
        text=True,
        cwd=ROOT,
        check=False,
    )
    assert (ran.returncode, ran.stderr) == (0, "")
    assert ran.stdout.startswith("platebook ")


def test_a_checkout_that_is_not_installed_has_version_0(
    platebook: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    def find(name: str) -> str:
        raise metadata.PackageNotFoundError(name)

    monkeypatch.setattr(metadata, "version", find)
    ran = platebook("--version")
    assert (ran.code, ran.out) == (0, "platebook 0\n")


HEAVY = ("reportlab", "textual", "tomlkit", "jsonschema", "ezdxf", "numpy", "sdl2", "yaml")


@pytest.mark.parametrize(
    "words", [["--help"], ["--version"], ["print", "--help"], ["check", "boxes"]]
)
def test_what_draws_nothing_loads_no_heavy_library(library: Path, words: list[str]) -> None:
    script = (
        "import sys\n"
        "from profiles.cli.main import run\n"
        f"run({words!r})\n"
        f"print([name for name in {HEAVY!r} if name in sys.modules], file=sys.stderr)\n"
    )
    ran = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True,
        text=True,
        cwd=library.parent,
        check=True,
    )
    assert ran.stderr.splitlines()[-1] == "[]"


def test_explain_alone_lists_every_code(platebook: Run) -> None:
    ran = platebook("explain")
    codes = [line.split()[0] for line in ran.out.splitlines()]
    assert codes == list(finding_pages())


@pytest.mark.parametrize("code", sorted(finding_pages()))
def test_every_code_has_a_page_under_fixed_headings(platebook: Run, code: str) -> None:
    ran = platebook("explain", code)
    assert ran.code == 0
    headings = [line for line in ran.out.splitlines()[1:] if line and not line.startswith(" ")]
    assert headings[:4] == ["What", "Why it matters", "Example", "Remedy"]


def test_explain_answers_a_misspelt_code_with_one_suggestion(platebook: Run) -> None:
    ran = platebook("explain", "must-unbnd")
    assert (ran.code, ran.err) == (
        2,
        "platebook: `must-unbnd` is no code, word, key, command or option\n"
        "  Did you mean `must-unbound`?\n",
    )


def test_explain_gives_machines_every_field_of_a_page_and_every_row_of_the_list(
    platebook: Run,
) -> None:
    page = finding_pages()["must-unbound"]
    document = json.loads(platebook("explain", page.code, "--json").out)
    assert document == {"format": 1, **page._asdict(), "see_also": list(page.see_also)}
    text = platebook("explain").out.splitlines()
    rows = json.loads(platebook("explain", "--json").out)["pages"]
    assert [line.split(maxsplit=2) for line in text] == [list(row.values()) for row in rows]


def test_starters_pass_the_check(platebook: Run, tmp_path: Path) -> None:
    for words in (
        ["device", "box"],
        ["application", "tram"],
        ["profile", "tram-on-box"],
        ["board", "attic"],
    ):
        ran = platebook("new", *words)
        assert (ran.code, ran.out) == (0, f"{words[1]}.toml\n")
    assert platebook("check", "--fail-on", "warning").code == 0


def test_a_file_that_is_there_is_left_as_it_is(platebook: Run, tmp_path: Path) -> None:
    (tmp_path / "box.toml").write_text("# mine\n", encoding="utf-8")
    ran = platebook("new", "device", "box")
    assert ran.code == 2
    assert "platebook: box.toml is there already, and is left as it is\n" in ran.err
    assert (tmp_path / "box.toml").read_text(encoding="utf-8") == "# mine\n"


def test_a_profile_needs_its_application_and_device(platebook: Run, library: Path) -> None:
    ran = platebook("new", "profile", "p", "--library", library, "--application", "harbur")
    assert ran.code == 2
    assert ran.err == (
        "platebook: the library has no application `harbur`\n  Did you mean `harbour`?\n"
    )


def test_several_applications_are_offered_in_a_sentence(platebook: Run, tmp_path: Path) -> None:
    platebook("new", "application", "tram")
    platebook("new", "application", "ferry")
    assert platebook("new", "profile", "p").err == (
        "platebook: the library has 2 applications\n  Choose an application: `ferry` or `tram`.\n"
    )


def test_a_document_that_cannot_be_used_keeps_its_id(platebook: Run, tmp_path: Path) -> None:
    (tmp_path / "box.toml").write_text('format = 1\n[device]\nid = "crate"\n', encoding="utf-8")
    platebook("new", "application", "tram")
    again = platebook("new", "device", "crate")
    assert (again.code, again.err) == (
        2,
        "platebook: id `crate` is taken by a file that cannot be used\n"
        "  Choose another id, or fix that file: `platebook check` names what is wrong.\n",
    )
    bound = platebook("new", "profile", "p", "--device", "crate")
    assert (bound.code, bound.err) == (
        2,
        "platebook: the file of device `crate` cannot be used\n"
        "  Fix it first: `platebook check` names what is wrong.\n",
    )
    assert {path.name for path in tmp_path.iterdir()} == {"box.toml", "tram.toml"}


def test_a_board_that_hides_a_packaged_one_is_announced(platebook: Run) -> None:
    ran = platebook("new", "board", "atmega32u4")
    assert (ran.code, ran.err) == (
        0,
        "edit it, then run `platebook check`\n"
        "it takes the place of the board `atmega32u4` that comes with Platebook\n",
    )


@pytest.mark.parametrize("example", ["harbour", "faulty"])
def test_the_published_schemas_read_the_examples_as_we_do(platebook: Run, example: str) -> None:
    """An independent reader: the `jsonschema` package, JSON Schema draft 2020-12."""
    ran = platebook("schema", "--verify", "--library", str(ROOT / "example_profiles" / example))
    assert (ran.code, ran.out, ran.err) == (
        0,
        "",
        "0 values refused by the schemas or by `check` alone\n",
    )


def test_what_the_schemas_refuse_is_told_with_its_place(platebook: Run, tmp_path: Path) -> None:
    path = tmp_path / "helm.toml"
    assert platebook("new", "device", "helm").code == 0
    path.write_text(path.read_text("utf-8").replace("width = ", "width = -"), "utf-8")
    ran = platebook("schema", "--verify")
    line = next(
        n for n, text in enumerate(path.read_text("utf-8").splitlines(), 1) if "= -" in text
    )
    remedy = "Write a number above 0: Width, mm"
    assert (ran.code, ran.err) == (
        1,
        "1 value refused by the schemas or by `check` alone\n",
    )
    assert ran.out == (f"helm.toml:{line}:9: `plate.width` must be a number above 0\n  {remedy}\n")


def test_what_no_schema_can_say_is_told_as_our_own(platebook: Run, tmp_path: Path) -> None:
    path = tmp_path / "own" / "attic.toml"
    path.parent.mkdir()
    assert platebook("new", "board", "attic", "-o", path).code == 0
    path.write_text(path.read_text("utf-8").replace("most = 50.0", "most = 5.0"), "utf-8")
    ran = platebook("schema", "--verify", "own")
    assert (ran.code, ran.out) == (
        1,
        "own/attic.toml:19:16: `check` alone refuses it: "
        "`board` has a `pull_up_most` below its `pull_up_least`\n"
        "  Correct or remove `pull_up_most`\n",
    )


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--kind", "board"), "choose either --kind or --verify"),
        (("own", "--library", "own"), "name the library once: as FOLDER or with --library"),
    ],
)
def test_verify_refuses_what_it_would_not_heed(
    platebook: Run, words: tuple[str, ...], told: str
) -> None:
    ran = platebook("schema", "--verify", *words)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.startswith(f"platebook: {told}\n")


def test_schema_writes_what_is_committed(platebook: Run, tmp_path: Path) -> None:
    assert platebook("schema", "made").code == 0
    for path in sorted((ROOT / "schemas").glob("*.json")):
        assert (tmp_path / "made" / path.name).read_text(encoding="utf-8") == path.read_text(
            encoding="utf-8"
        )


def test_suggest_proposes_lines_for_the_profile(platebook: Run, library: Path) -> None:
    edit(library / "bindings.toml", 'horn = "sound-horn"', "")
    ran = platebook("suggest", "harbour-desk", "--library", library)
    assert (ran.code, ran.err) == (0, "")
    assert ran.out == (
        "# must: a push-button suits what acts once per press; `HORN` shares words with it\n"
        'horn = "sound-horn"\n'
    )


def test_suggest_binds_what_it_proposes_and_shows_the_difference(
    platebook: Run, library: Path
) -> None:
    path = library / "bindings.toml"
    edit(path, 'horn = "sound-horn"\nbell = "ring-bell"\n', "# All of them.\n")
    before = path.read_text(encoding="utf-8")
    ran = platebook("suggest", "harbour-desk", "--library", library, "--may", "--write")

    assert (ran.code, ran.err) == (0, "changed bindings.toml\n")
    assert "Bind 2 actions of `harbour-desk`\n" in ran.out
    assert '  +horn = "sound-horn"\n  +bell = "ring-bell"\n' in ran.out
    assert path.read_text(encoding="utf-8") == before.replace(
        "[bindings]\n", '[bindings]\nhorn = "sound-horn"\nbell = "ring-bell"\n'
    )
    again = platebook("suggest", "harbour-desk", "--library", library, "--may", "--write")
    assert (again.code, again.err) == (0, "nothing to change\n")
    assert again.out == "# Nothing to propose.\n"


def test_suggest_tells_of_actions_that_it_would_place_if_asked(
    platebook: Run, library: Path
) -> None:
    edit(library / "bindings.toml", 'bell = "ring-bell"\n', "")
    ran = platebook("suggest", "harbour-desk", "--library", library)

    assert (ran.code, ran.out, ran.err) == (
        0,
        "# Nothing to propose.\n",
        "note: 1 unbound action of need `may`; --may places it too\n",
    )


def test_suggest_speaks_json(platebook: Run, library: Path) -> None:
    edit(library / "bindings.toml", 'horn = "sound-horn"', "")
    document = json.loads(platebook("suggest", "harbour-desk", "--library", library, "--json").out)
    assert document["proposals"][0]["keys"] == ["horn"]
    assert document["homeless"] == []


HARBOUR = EXAMPLES / "harbour"
RECORDING = HARBOUR / "recordings" / "helm-desk-press.jsonl"
BRIDGE = HARBOUR / "profiles" / "brackwater-bridge.toml"
WRITERS = {
    "box-drill.csv": ("print", "drill", "--device", "lookout-box", "--library", HARBOUR),
    "bindings.csv": ("convert", BRIDGE, "--csv"),
    "device.schema.json": ("schema", "out"),
    "plots.svg": ("press", "measurements", RECORDING, "--library", HARBOUR, "--svg"),
    "report.csv": (
        *("press", "test", "helm-desk", "--library", HARBOUR, "--from", RECORDING, "--report"),
    ),
    "lookout-box/lookout-box.ino": (
        *("firmware", "lookout-box", "--library", HARBOUR, "--for", "avr", "-o", "out"),
    ),
}
"""A file of each command that writes, and the command, its output's name at its end."""


@pytest.mark.parametrize("name", WRITERS)
def test_what_a_writer_refuses_to_replace_it_replaces_when_told_to(
    platebook: Run, tmp_path: Path, name: str
) -> None:
    words, path = WRITERS[name], tmp_path / "out" / name
    path.parent.mkdir(parents=True)
    if words[0] in ("print", "convert"):
        words = (*words, "-o", path)
    elif words[0] == "press":
        words = (*words, path)
    assert platebook(*words).code in (0, 1)
    made = path.read_bytes()
    mine = made.replace(b"e", b"i", 1)
    path.write_bytes(mine)
    ran = platebook(*words)
    assert ran.code == 2
    assert ran.err.endswith(" Or add --replace.\n")
    assert path.read_bytes() == mine
    assert platebook(*words, "--replace").code in (0, 1)
    assert path.read_bytes() == made


def test_a_file_of_a_library_is_not_converted_over(platebook: Run) -> None:
    ran = platebook("convert", BRIDGE, "--to", "yaml", "-o", "x.yaml", "--replace")
    assert ran.code == 2
    assert ran.err.startswith(
        "platebook: --replace goes with --csv; a file of a library is never replaced\n"
    )


def test_the_output_is_judged_by_the_name_that_was_given(platebook: Run) -> None:
    """Two devices, whose ids would be put into the name."""
    words = ("print", "legend", "--library", HARBOUR, "--profile", "brackwater-bridge")
    ran = platebook(*words, "--format", "pdf", "-o", "mine.toml")
    assert (ran.code, ran.err) == (
        2,
        "platebook: `mine.toml` is named as a file of a library, which is never replaced\n"
        "  Choose a name that ends with .pdf.\n",
    )
