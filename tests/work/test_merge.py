"""Two texts from one, merged key by key: what each side changed is there, and nothing twice."""

import tomllib
from typing import Any

from profiles.work.merge import merge


def content(text: str) -> dict[str, Any]:
    return tomllib.loads(text)


def test_what_both_changed_alike_is_no_clash() -> None:
    merged = merge("a = 1\nb = 1\n", "a = 2\nb = 1\n", "a = 2\nb = 3\n")
    assert (content(merged.text), merged.clashes) == ({"a": 2, "b": 3}, ())


def test_changes_of_neighbouring_lines_are_both_kept() -> None:
    """By keys, where lines that touch cannot be merged."""
    merged = merge("a = 1\nb = 1\n", "a = 2 # mine\nb = 1\n", "a = 1\nb = 3 # theirs\n")
    assert (content(merged.text), merged.clashes) == ({"a": 2, "b": 3}, ())
    assert "# theirs" in merged.text


def test_what_others_put_into_a_table_that_was_renamed_here_goes_with_it() -> None:
    """Line by line it would be left behind under the old name."""
    base = '[controls.horn]\nlabel = "A"\nhole = 1\n\n[plate]\nwidth = 1\n'
    mine = base.replace("controls.horn", "controls.hooter")
    theirs = base + "\n[controls.horn.led]\npin = 5\n"
    merged = merge(base, mine, theirs)
    assert merged.clashes == ()
    assert content(merged.text) == {
        "controls": {"hooter": {"label": "A", "hole": 1, "led": {"pin": 5}}},
        "plate": {"width": 1},
    }


def entries(*codes: str) -> str:
    return "format = 1\n" + "".join(f'\n[[accept]]\ncode = "{code}"\n' for code in codes)


def test_one_member_that_both_changed_otherwise_is_a_clash() -> None:
    merged = merge(entries("a", "z"), entries("b", "z"), entries("c", "z"))
    assert [str(clash).partition(":")[0] for clash in merged.clashes] == ["accept"]
    assert content(merged.text) == content(entries("c", "z"))


def test_an_equal_member_once_more_is_not_lost() -> None:
    merged = merge(entries("a"), entries("a", "a"), entries("a", "c"))
    assert merged.clashes == ()
    codes = [one["code"] for one in content(merged.text)["accept"]]
    assert sorted(codes) == ["a", "a", "c"]


def test_the_preferred_side_stands_at_a_clash_alone() -> None:
    base, mine, theirs = "a = 1\nb = 1\nc = 1\n", "a = 2\nb = 2\nc = 1\n", "a = 3\nb = 1\nc = 3\n"
    for prefer, a in (("mine", 2), ("theirs", 3)):
        merged = merge(base, mine, theirs, prefer)  # type: ignore[arg-type]
        assert content(merged.text) == {"a": a, "b": 2, "c": 3}
        assert [clash.path for clash in merged.clashes] == [("a",)]
