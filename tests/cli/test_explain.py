"""What `explain` answers to the words that makers use."""

import json
import re
import subprocess
import sys

import pytest

from profiles.checks.codes import EVERY_CODE
from profiles.checks.glossary import find_term, list_spellings, read_glossary
from profiles.cli.commands.explain_command import list_paths
from profiles.cli.group import walk_commands
from profiles.files.keys import find_keys, list_keys
from tests.cli.conftest import ROOT, Run
from tests.test_words import find_replaced


def test_a_word_that_makers_use_leads_to_the_term(platebook: Run) -> None:
    ran = platebook("explain", "Encoders")
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.splitlines() == [
        *("rotary", ""),
        "A knob that turns without end and gives steps: one input for each direction.",
        *("", "Also called", "  encoder, rotary encoder"),
        *("", "See also", "  controls.*.detents, rotary-half-wired, turn-slow, detent"),
    ]


def test_a_word_of_two_parts_needs_no_quotes(platebook: Run) -> None:
    assert platebook("explain", "shift", "register").out.startswith("shift-register\n")


def test_a_word_that_is_a_key_too_shows_both(platebook: Run) -> None:
    told = json.loads(platebook("explain", "debounce", "--json").out)
    assert told["term"]["also"] == ["debouncing", "bouncing"]
    assert told["keys"] == [
        {
            "key": "device: wiring.debounce",
            "takes": "number above 0 to 10000",
            "default": "7.0",
            "meaning": "Debounce time, ms.",
        }
    ]


def test_a_command_is_summed_up_with_the_way_to_its_help(platebook: Run) -> None:
    ran = platebook("explain", "compare")
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.splitlines() == [
        *("compare", "", "Command"),
        "  Compare what each control does in each application.",
        "  Run `platebook compare --help` for its options.",
    ]


@pytest.mark.parametrize("word", [key.path for key in list_keys()])
def test_every_key_is_found_by_its_path(platebook: Run, word: str) -> None:
    ran = platebook("explain", word)
    assert (ran.code, word in ran.out) == (0, True)


def test_a_command_below_a_command_is_found_by_its_last_word_or_all(platebook: Run) -> None:
    ran = platebook("explain", "platebook", "print", "drill")
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.splitlines() == [
        *("platebook print drill", "", "Command"),
        "  Drill template: centre marks, sizes and coordinates from the datum corner.",
        "  Run `platebook print drill --help` for its options.",
    ]
    told = json.loads(platebook("explain", "strip", "--json").out)
    assert [found["name"] for found in told["commands"]] == ["print strip"]
    assert told["term"]["word"] == "strip"


def test_the_names_of_all_commands_are_known_without_their_modules() -> None:
    assert list_paths() == [path for path, _ in walk_commands()]
    script = (
        "import sys\n"
        "from profiles.cli.main import run\n"
        "run(['explain', 'ghosting'])\n"
        "names = [name for name in sys.modules if name.startswith('profiles.cli.commands.')]\n"
        "print(names, file=sys.stderr)\n"
    )
    ran = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert ran.stderr == "['profiles.cli.commands.explain_command']\n"


@pytest.mark.parametrize("word", [path for path, _ in walk_commands()])
def test_every_command_is_found_by_its_words(platebook: Run, word: str) -> None:
    told = json.loads(platebook("explain", word, "--json").out)
    assert word in [found["name"] for found in told["commands"]]


@pytest.mark.parametrize("code", EVERY_CODE)
def test_every_code_is_found_however_it_is_spelt(platebook: Run, code: str) -> None:
    ran = platebook("explain", code.replace("-", " ").upper())
    assert (ran.code, ran.out.split()[0]) == (0, code)


@pytest.mark.parametrize("spelling", list_spellings())
def test_every_word_of_the_glossary_and_its_plural_is_found(platebook: Run, spelling: str) -> None:
    for word in (spelling, f"{spelling}s"):
        told = json.loads(platebook("explain", word, "--json").out)
        assert told["term"]["word"] == list_spellings()[spelling].word


def test_an_option_is_explained_for_each_command_that_has_it(platebook: Run) -> None:
    ran = platebook("explain", "--changed")
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.splitlines() == [
        *("--changed", ""),
        "Command    Option     Meaning",
        "---------  ---------  ---------------------------------------------",
        "print all  --changed  Only sheets that differ from those in FOLDER.",
    ]
    ran = platebook("explain", "--chagned")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.endswith("  Did you mean `--changed`?\n")


def test_a_word_that_a_key_takes_leads_to_the_key(platebook: Run) -> None:
    told = json.loads(platebook("explain", "potentiometer", "--json").out)
    assert "device: controls.*.sensor" in [found["key"] for found in told["keys"]]


def test_a_misspelt_key_gets_the_nearest_one(platebook: Run) -> None:
    ran = platebook("explain", "viewing-distnce")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == (
        "platebook: `viewing-distnce` is no code, word, key, command or option\n"
        "  Did you mean `viewing_distance`?\n"
    )


def test_a_word_nobody_knows_gets_the_nearest_one(platebook: Run) -> None:
    ran = platebook("explain", "gohsting")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == (
        "platebook: `gohsting` is no code, word, key, command or option\n"
        "  Did you mean `ghosting`?\n"
    )


@pytest.mark.parametrize(
    ("word", "meant"),
    [("laser", "print cut"), ("pinout", "boards"), ("gui", "open"), ("nozzle", "print plate")],
)
def test_a_word_without_a_page_leads_to_what_does_the_job(
    platebook: Run, word: str, meant: str
) -> None:
    ran = platebook("explain", word)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.endswith(f"  Did you mean `{meant}`?\n")


def test_every_word_that_contributors_keep_to_can_be_explained() -> None:
    """The table under "Words" in DEVELOPERS.md."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").partition("\n## Words\n")[2]
    rows = re.findall(r"^\| ([^|]+) \| [^|]+ \|$", text, re.MULTILINE)[1:]
    words = [word for row in rows for word in row.split(", ")]
    assert len(words) > 50
    assert [word for word in words if find_term(word) is None] == []


def test_every_term_leads_only_to_what_can_be_explained() -> None:
    known = {*EVERY_CODE, *read_glossary()}
    lost = {
        (term.word, see)
        for term in read_glossary().values()
        for see in term.see
        if see not in known and not find_keys(see)
    }
    assert lost == set()


def test_no_word_stands_for_two_terms_and_all_are_in_order() -> None:
    terms = read_glossary().values()
    assert len(list_spellings()) == sum(1 + len(term.also) for term in terms)
    assert list(read_glossary()) == sorted(read_glossary())


def test_meanings_use_the_words_of_the_glossary() -> None:
    assert {term.word: find_replaced(term.meaning) for term in read_glossary().values()} == {
        word: [] for word in read_glossary()
    }
