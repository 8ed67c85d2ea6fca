"""Words that stand twice: labels on one device, legends in one profile."""

from collections.abc import Iterator
from functools import lru_cache

from profiles.checks.base import Check, quote, report
from profiles.facts.survey import LinkFacts, Survey
from profiles.model import Finding, Page, Related, ResolvedBinding

LABEL_REPEATED = Page(
    code="label-repeated",
    severity="warning",
    title="Two controls of a device carry the same label",
    what="Two controls of one device have the same words, letter case and spaces aside.",
    why="In the dark or in a hurry the hand goes by the words: two alike are two chances to "
    "press the wrong one. Sheets and the press test name controls by them as well.",
    example='[controls.horn]\nlabel = "HORN"\n[controls.horn-fog]\nlabel = "Horn"',
    remedy="Reword one of the labels.",
)

LEGEND_REPEATED = Page(
    code="legend-repeated",
    severity="warning",
    title="Two controls carry the same legend for different actions",
    what="In one profile two controls of a device print the same words, yet do different things.",
    why="The sheet shows two like legends, and only trying tells which is which. The same "
    "action on two controls is no fault.",
    example='[bindings]\nhorn = "horn-short"                                 # legend HORN\n'
    'bell = { action = "horn-long", legend = "HORN" }',
    remedy="Give one binding a legend of its own.",
)


def check_labels(survey: Survey) -> Iterator[Finding]:
    """Report labels that an earlier control of the device carries already."""
    for device in survey.devices:
        first: dict[str, str] = {}
        for control, value in device.controls.items():
            owner = first.setdefault(fold(value.label), control)
            if owner != control:
                yield report(
                    LABEL_REPEATED,
                    f"`{owner}` and `{control}` both say {quote(value.label)}",
                    f"Reword the label of `{control}`",
                    device.spot("controls", control, "label"),
                    [Related(f"`{owner}` says it too", device.spot("controls", owner, "label"))],
                )


def check_legends(survey: Survey) -> Iterator[Finding]:
    """Report legends that stand for another action on another control of the device."""
    for link in survey.links:
        first: dict[tuple[str, str], ResolvedBinding] = {}
        for one in link.bound:
            owner = first.setdefault((one.acting.device, fold(one.legend)), one)
            if owner.action_id != one.action_id and owner.acting.control != one.acting.control:
                yield _describe_legend(link, owner, one)


def _describe_legend(link: LinkFacts, owner: ResolvedBinding, one: ResolvedBinding) -> Finding:
    names = f"{link.name(owner.acting)} and {link.name(one.acting)}"
    return report(
        LEGEND_REPEATED,
        f"{names} both say {quote(one.legend)}",
        f"Give `{one.action_id}` on {link.name(one.acting)} its own legend",
        one.spot,
        [Related(f"does `{owner.action_id}` under the same words", owner.spot)],
    )


@lru_cache(maxsize=16384)
def fold(words: str) -> str:
    """Words as the eye compares them: letter case and spaces aside."""
    return " ".join(words.casefold().split())


CHECKS = (
    Check(check_labels, (LABEL_REPEATED,)),
    Check(check_legends, (LEGEND_REPEATED,)),
)
