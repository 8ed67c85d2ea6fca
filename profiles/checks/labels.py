"""Duplicate words: labels on one device, legends in one profile."""

from collections.abc import Iterator
from functools import lru_cache

from profiles.checks.base import by_device, quote, report
from profiles.facts.device import DeviceFacts
from profiles.facts.survey import Survey
from profiles.model import Finding, Related, ResolvedBinding


@by_device
def check_labels(device: DeviceFacts) -> Iterator[Finding]:
    """Report labels that an earlier control of the device carries already."""
    first: dict[str, str] = {}
    for control, value in device.controls.items():
        owner = first.setdefault(fold(value.label), control)
        if owner != control:
            yield report(
                "label-repeated",
                f"`{owner}` and `{control}` both say {quote(value.label)}",
                f"Reword the label of `{control}`",
                device.spot("controls", control, "label"),
                [Related(f"`{owner}` says it too", device.spot("controls", owner, "label"))],
            )


def check_legends(survey: Survey) -> Iterator[Finding]:
    """Report legends that stand for another action on another control of the device."""
    for link in survey.links:
        first: dict[tuple[str, str], ResolvedBinding] = {}
        for binding in link.bound:
            owner = first.setdefault((binding.acting.device, fold(binding.legend)), binding)
            if owner.action_id == binding.action_id:
                continue
            if owner.acting.control != binding.acting.control:
                name = link.name(binding.acting)
                yield report(
                    "legend-repeated",
                    f"{link.name(owner.acting)} and {name} both say {quote(binding.legend)}",
                    f"Give `{binding.action_id}` on {name} its own legend",
                    binding.spot,
                    [Related(f"does `{owner.action_id}` under the same words", owner.spot)],
                )


@lru_cache(maxsize=16384)
def fold(words: str) -> str:
    """Words as the eye compares them: letter case and spaces aside."""
    return " ".join(words.casefold().split())


CHECKS = (check_labels, check_legends)
