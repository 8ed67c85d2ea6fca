"""`platebook suggest`: free controls for actions that a profile leaves unbound."""

import json
from dataclasses import asdict

import click

from profiles.cli.choices import find_named
from profiles.cli.libraries import library_option, open_sound_library
from profiles.cli.output import note, write
from profiles.model.application import Need
from profiles.plan.suggest import Plan, Proposal, suggest
from profiles.text.inert import escape_controls


@click.command(name="suggest")
@click.argument("profile")
@library_option
@click.option("--may", is_flag=True, help="Also place actions that only may be bound.")
@click.option("--json", "as_json", is_flag=True, help="Print the proposals as JSON.")
def command(profile: str, library_option: str | None, may: bool, as_json: bool) -> None:
    """Propose controls for the actions that PROFILE leaves unbound; nothing is written."""
    loaded = open_sound_library(library_option)
    needs: tuple[Need, ...] = ("must", "want", "may") if may else ("must", "want")
    found = find_named("profile", profile, loaded.library.profiles)
    plan = suggest(loaded.library, found.id, needs)
    write(json.dumps(asdict(plan), indent=2) if as_json else render_plan(plan))
    for action in plan.homeless:
        note(f"no free contact suits `{escape_controls(action)}`")


def render_plan(plan: Plan) -> str:
    """Proposals as lines that can be put into the profile's bindings."""
    if not plan.proposals:
        return "# Nothing to propose."
    return "\n".join(line for proposal in plan.proposals for line in _lines(proposal))


def _lines(proposal: Proposal) -> list[str]:
    reasons = "; ".join(proposal.reasons)
    lines = [f"# {proposal.need}: {escape_controls(reasons)}"]
    for key, action in zip(proposal.keys, proposal.actions, strict=True):
        written = key if key.replace("-", "").replace("_", "").isalnum() else f'"{key}"'
        lines.append(f'{written} = "{action}"')
    return lines
