"""Two versions of a file that come from the same one, merged key by key.

    merged = merge(base, mine, theirs)

The result holds what both changed. Only a key that both changed, and to different values, is a
clash. The lines of both stay as they are where that gives the same; otherwise it is the text of
`theirs`, comments and layout, with every change from `base` to `mine` made in it.
"""

from collections.abc import Callable, Iterator
from difflib import SequenceMatcher
from functools import partial
from typing import Any, Literal, NamedTuple

from profiles.files.documents import parse_text
from profiles.files.faults import FileFaultError
from profiles.files.places import Format, KeyPath
from profiles.files.text_edit import append_table, remove_key, rename_key, set_value
from profiles.files.toml_edit import TABLES_OF_TABLES, same_content, write_value
from profiles.model import Spot

ABSENT = object()
"""The value of a key that is not there."""

Side = Literal["mine", "theirs"]


class Clash(NamedTuple):
    """A key that both sides changed, to different values; `ABSENT` where one removed it."""

    path: KeyPath
    mine: Any
    theirs: Any

    def __str__(self) -> str:
        mine, theirs = (
            "nothing" if one is ABSENT else write_value(one) for one in (self.mine, self.theirs)
        )
        return f"{str(Spot('', self.path))[1:]}: here {mine}, on disk {theirs}"


Change = Callable[[str], str]
"""Makes one change in a text."""


class Merged(NamedTuple):
    """The merged text, and where both sides meant something else."""

    text: str
    clashes: tuple[Clash, ...]


def merge(
    base: str, mine: str, theirs: str, prefer: Side = "theirs", form: Format = "toml"
) -> Merged:
    """Merge two texts that come from one; at a clash the preferred side stands.

    Raises:
        profiles.files.faults.FileFaultError: where a text is not of its format.
        EditError: where `theirs` is laid out so that a change cannot be made safely.
    """
    text, clashes = theirs, []
    for change in _compare(form, (), *(parse_text(one, form) for one in (base, mine, theirs))):
        if not isinstance(change, Clash):
            text = change(text)
            continue
        clashes.append(change)
        if prefer == "mine":
            text = _put(text, form, change.path, change.mine)
    by_lines = None if clashes else _merge_lines(base, mine, theirs)
    if by_lines is not None and _means_the_same(by_lines, text, form):
        text = by_lines
    return Merged(text, tuple(clashes))


def _merge_lines(base: str, mine: str, theirs: str) -> str | None:
    """The texts merged line by line, all comments kept; None where changed lines touch."""
    old = base.splitlines(keepends=True)
    changes = {
        (start, end, tuple(new[first:last]))
        for new in (mine.splitlines(keepends=True), theirs.splitlines(keepends=True))
        for tag, start, end, first, last in SequenceMatcher(None, old, new, False).get_opcodes()
        if tag != "equal"
    }
    lines, at = [], -1
    for start, end, new in sorted(changes):
        if start <= at:
            return None
        lines += [*old[max(at, 0) : start], *new]
        at = end
    return "".join([*lines, *old[max(at, 0) :]])


def _means_the_same(text: str, other: str, form: Format) -> bool:
    try:
        return same_content(parse_text(text, form), parse_text(other, form))
    except FileFaultError:
        return False


def _compare(
    form: Format, path: KeyPath, base: Any, mine: Any, theirs: Any
) -> Iterator[Clash | Change]:
    """What to change in theirs so that it holds what mine changed."""
    if same_content(mine, base) or same_content(mine, theirs):
        return
    sides = [{} if base is ABSENT else base, mine, theirs]
    if all(isinstance(side, dict) for side in sides):
        yield from _compare_tables(form, path, *sides)
        return
    if same_content(theirs, base):
        yield lambda text: _put(text, form, path, mine)
        return
    lists = [[] if one is ABSENT else one for one in (base, mine, theirs)]
    if all(isinstance(one, list) and all(isinstance(m, dict) for m in one) for one in lists):
        known, ours, others = lists
        gone, others_new = _without(known, ours), _without(others, known)
        new, gone_twice = _without(_without(ours, known), others_new), _without(gone, others)
        if (gone or new) and not (gone_twice and new and others_new):
            yield lambda text: _change_members(text, form, path, _without(gone, gone_twice), new)
            return
    yield Clash(path, mine, theirs)


def _compare_tables(
    form: Format, path: KeyPath, base: dict[str, Any], mine: dict[str, Any], theirs: dict[str, Any]
) -> Iterator[Clash | Change]:
    renamed = _find_renames(path, base, mine, theirs)
    for old, new in renamed.items():
        yield partial(rename_key, form=form, path=(*path, old), name=new)
        yield from _compare(form, (*path, new), base[old], mine[new], theirs[old])
    done = {*renamed, *renamed.values()}
    for key in [*base, *(key for key in mine if key not in base)]:
        if key not in done:
            yield from _compare(
                form, (*path, key), *(t.get(key, ABSENT) for t in (base, mine, theirs))
            )


def _find_renames(
    path: KeyPath, base: dict[str, Any], mine: dict[str, Any], theirs: dict[str, Any]
) -> dict[str, str]:
    """Keys that mine gave another name, old to new, and that theirs leaves where they were.

    A control or an action may have been changed inside by theirs: that goes with it.
    """
    gone = [key for key in base if key not in mine and key in theirs]
    new = [key for key in mine if key not in base and key not in theirs]
    renamed: dict[str, str] = {}
    for old in gone:
        free = [key for key in new if key not in renamed.values()]
        alike = [key for key in free if same_content(base[old], mine[key])]
        if path and path[0] in TABLES_OF_TABLES:
            alike = alike or (free if len(gone) == len(new) == 1 else [])
        elif not same_content(base[old], theirs[old]):
            continue
        if alike:
            renamed[old] = alike[0]
    return renamed


def _put(text: str, form: Format, path: KeyPath, value: Any) -> str:
    if value is ABSENT:
        return remove_key(text, form, path)
    return set_value(text, form, path, value)


def _change_members(text: str, form: Format, path: KeyPath, gone: list[Any], new: list[Any]) -> str:
    """Take members from a list of tables, and add others at its end."""
    for value in gone:
        members: Any = parse_text(text, form)
        for part in path:
            members = members[part]
        at = next(at for at, one in enumerate(members) if same_content(one, value))
        text = remove_key(text, form, (*path, at) if len(members) > 1 else path)
    for value in new:
        text = append_table(text, form, path, value)
    return text


def _without(members: list[Any], others: list[Any]) -> list[Any]:
    """Members that the others do not have, each counted as often as it is there."""
    left, found = list(others), []
    for member in members:
        at = next((at for at, one in enumerate(left) if same_content(one, member)), None)
        if at is None:
            found.append(member)
        else:
            del left[at]
    return found
