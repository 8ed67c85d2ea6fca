"""`platebook suggest`: free controls for actions that a profile leaves unbound."""

import click

from profiles.cli.editing import offer_edit
from profiles.cli.libraries import library_option, open_sound_library
from profiles.cli.output import note, write_report
from profiles.facts.profile import unbound_actions
from profiles.model.application import Need
from profiles.plan.suggest import Plan, suggest
from profiles.report.document import Facts, Paragraph, Report
from profiles.text.inert import escape_controls
from profiles.text.prose import count
from profiles.work.edits import bind_keys
from profiles.work.names import find_named


@click.command(name="suggest")
@click.argument("profile")
@library_option
@click.option("--may", is_flag=True, help="Also place actions whose need is `may`.")
@click.option("--write", "is_written", is_flag=True, help="Put them into the profile's file.")
@click.option("--json", "as_json", is_flag=True, help="Print the proposals as JSON.")
def command(
    profile: str, library_option: str | None, may: bool, is_written: bool, as_json: bool
) -> None:
    """Propose controls for the actions that PROFILE leaves unbound; --write binds them.

    First asked is where other profiles have the same application's action, then which labels and
    ids share words with an action, with its legend or with its group, then where other applications
    have what is called the same, then what suits and lies near its like.
    """
    loaded = open_sound_library(library_option)
    needs: tuple[Need, ...] = ("must", "want", "may") if may else ("must", "want")
    found = find_named("profile", profile, loaded.library.profiles)
    plan = suggest(loaded.library, found.id, needs)
    if is_written:
        keys = [pair for one in plan.proposals for pair in zip(one.keys, one.actions, strict=True)]
        edit = bind_keys(found.id, keys)
        offer_edit(loaded, edit, report_plan(plan), is_written=True, as_json=as_json)
    else:
        write_report(report_plan(plan), as_json=as_json)
    left = unbound_actions(loaded.library.link(found.id)).values()
    if not may and (optional := [action for action in left if action.need == "may"]):
        places = "--may places it too" if len(optional) == 1 else "--may places them too"
        note(f"note: {count(len(optional), 'unbound action')} of need `may`; {places}")
    for action in plan.homeless:
        note(f"no free contact suits `{escape_controls(action)}`")


def report_plan(plan: Plan) -> Report:
    """Proposals as lines that can be put into the profile's bindings."""
    lines = []
    for proposal in plan.proposals:
        lines.append(f"# {proposal.need}: {escape_controls('; '.join(proposal.reasons))}")
        for key, action in zip(proposal.keys, proposal.actions, strict=True):
            written = key if key.replace("-", "").replace("_", "").isalnum() else f'"{key}"'
            lines.append(f'{written} = "{action}"')
    proposals = [
        {
            "actions": proposal.actions,
            "contacts": [str(contact) for contact in proposal.contacts],
            "keys": proposal.keys,
            "need": proposal.need,
            "reasons": proposal.reasons,
        }
        for proposal in plan.proposals
    ]
    facts = Facts({"proposals": proposals, "homeless": plan.homeless})
    words = "\n".join(lines) or "# Nothing to propose."
    return Report("", (facts, Paragraph(words, verbatim=True)))
