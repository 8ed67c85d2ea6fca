"""`check --fix`: fixes shown as differences, asked for one by one on a terminal, or all made."""

from typing import Any, Literal, NamedTuple

import click

from profiles.cli.editing import list_plainly, save_copy
from profiles.cli.output import note, write_report
from profiles.files.library import LoadedLibrary
from profiles.report.document import Facts, Paragraph, Report
from profiles.text.prose import count
from profiles.work.copy import WorkingCopy
from profiles.work.fixes import Fix, offer_fixes

FixMode = Literal["all", "ask", "show"]
"""Whether all fixes are made, each is asked for, or none is made."""

ANSWERS = {"y": "yes", "n": "no", "a": "all", "q": "quit"}


class Offer(NamedTuple):
    """A fix, and whether it was made."""

    fix: Fix
    made: bool


def fix_library(loaded: LoadedLibrary, mode: FixMode, *, quiet: bool = False) -> Facts:
    """Show every fix, and make and save those that are wanted; returns all of them for machines.

    Raises:
        Unusable: where a file could not be written, or somebody else changed the same key.
    """
    copy, offers, answer = WorkingCopy(loaded), [], ""
    for number, fix in enumerate(offer_fixes(copy), 1):
        if not quiet:
            write_report(_describe(number, fix))
        if mode == "ask" and answer != "all":
            answer = ANSWERS[_ask()]
            if answer == "quit":
                break
        made = mode == "all" or answer in ("yes", "all")
        offers.append(Offer(fix, made))
        if made or mode == "show":
            fix.edit.apply(copy)  # shown ones too, as the next is on top of them; never saved
    done = sum(offer.made for offer in offers)
    if done:
        _save(copy, done)
    elif mode == "show" and offers:
        note(f"note: {count(len(offers), 'fix', 'fixes')} shown, none made; --fix --yes makes all")
    elif not offers:
        note("note: no automatic fix; see the remedy of each finding")
    return Facts({"fixes": [_plain(offer) for offer in offers]})


def _ask() -> str:
    words = ", ".join(f"{key} {word}" for key, word in ANSWERS.items())
    choice = click.Choice(list(ANSWERS))
    answer: str = click.prompt(
        f"Make this fix? {words}", "n", type=choice, show_choices=False, err=True
    )
    return answer


def _save(copy: WorkingCopy, done: int) -> None:
    files = count(save_copy(copy), "file")
    note(f"note: {count(done, 'fix', 'fixes')} made in {files}; comments and layout kept")


def _describe(number: int, fix: Fix) -> Report:
    finding = fix.finding
    lines = [f"{finding.severity}: {finding.message} [{finding.code}]"]
    lines += [line for one in fix.differences for line in one.lines]
    title = f"Fix {number}: {fix.edit.words}"
    return Report("", (Paragraph("\n".join([*lines, ""]), title, verbatim=True),))


def _plain(offer: Offer) -> dict[str, Any]:
    fix = offer.fix
    return {
        "code": fix.finding.code,
        "subject": fix.finding.subject,
        "fix": fix.edit.words,
        "made": offer.made,
        "files": list_plainly(fix.differences),
    }
