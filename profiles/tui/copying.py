"""A binding copied across titles: which action of another title means the same."""

from profiles.model import Action, Link, ResolvedBinding
from profiles.tui.lookup import score


def candidates(taken: ResolvedBinding, link: Link) -> tuple[str | None, list[str]]:
    """The action of the same id, and all others, those of the same group and manner first."""
    if link.application is None:
        return None, []
    actions = link.application.actions
    same = taken.action_id if taken.action_id in actions else None
    return same, sorted(actions, key=lambda key: _farness(taken.action, key, actions[key]))


def _farness(wanted: Action, key: str, action: Action) -> tuple[bool, bool, bool, int, str]:
    group = wanted.group is None or action.group != wanted.group
    likeness = score(wanted.name, action.name) or 0
    manner = action.behaviour != wanted.behaviour
    return group, manner, action.direction != wanted.direction, -likeness, key
