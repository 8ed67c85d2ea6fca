"""The Press view in words and signs: verdicts on the plate, what is asked, what controls do.

A step's verdict is told by a sign and a word, never by colour alone: see `SIGNS`.
"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from profiles.drawing.poster import render_poster
from profiles.facts.profile import BRACKETS, State
from profiles.live.session import Session
from profiles.live.show import describe_application
from profiles.live.verdict import VERDICT_KINDS, Verdict, VerdictKind
from profiles.live.words import ask_step, name_step
from profiles.tui.naming import Names, name_words
from profiles.work.press import LiveTest
from profiles.work.press_show import LiveShow

SIGNS: Mapping[VerdictKind, tuple[str, State]] = {
    "wrong": ("x", "conflict"),
    "missing": ("-", "conflict"),
    "extra": ("+", "conflict"),
    "bouncing": ("~", "part"),
    "skipped": ("/", "unbound"),
    "right": ("o", "bound"),
}
"""The sign of each verdict and whose colour it has, the gravest first."""

SIGNS_TOLD = "o right  x wrong  - missing  + extra  ~ bouncing  / skipped  . not yet  ? now"

NO_BOX = "No box of this profile is plugged in; plug it in to see what its controls do."
KEYS_TOLD = "Enter that was all   s skip   b back   a again   x stop, resume later"


@dataclass(frozen=True, slots=True)
class Mark:
    """What stands at a control during a test."""

    badge: str
    state: State
    parts: tuple[tuple[str, str], ...]


def mark_controls(session: Session, *, is_asking: bool) -> dict[str, Mark]:
    """Every control with the gravest verdict on its contacts, `?` where it is asked for now.

    A verdict of `right` or `skipped` counts once every step of the control is done. Steps that
    hold several at once are in the list alone: one fault spoils many of them.
    """
    done = {observed.step.key for observed in session.observations}
    single = [step for step in session.steps if step.contact and not step.held]
    still = {step.contact.control for step in single if step.contact and step.key not in done}
    kinds: dict[str, set[VerdictKind]] = {}
    for verdict in session.verdicts():
        if verdict.step.contact is not None and not verdict.step.held:
            kinds.setdefault(verdict.step.contact.control, set()).add(verdict.kind)
    step = session.step if is_asking else None
    contacts = (*step.held, step.contact) if step else ()
    asked = {contact.control for contact in contacts if contact}
    found = {}
    for key, control in session.device.controls.items():
        worst = next((kind for kind in SIGNS if kind in kinds.get(key, ())), None)
        is_open = worst is None or (worst in ("skipped", "right") and key in still)
        sign, state = SIGNS[worst] if worst and not is_open else (".", "unbound")
        left, right = BRACKETS[control.kind]
        badge = f"{left}{'?' if key in asked else sign}{right}"
        found[key] = Mark(badge, state, (("", control.spoken_label or key),))
    return found


def describe_asked(test: LiveTest, names: Names, columns: int = 80, rows: int = 0) -> list[str]:
    """What is asked now, large if no keys are needed and there is room; what is in the way; the
    keys that answer."""
    lines = [test.trouble.sentences] if test.trouble else []
    prompt = test.prompt
    if prompt is not None:
        if prompt.large:
            lines += render_poster(prompt.large, min(columns, 120) - 1, min(max(rows // 3, 4), 16))
        lines.append(f"{prompt.place} {_name_asked(test, names)}   {prompt.heard}".rstrip())
    return [*lines, KEYS_TOLD] if test.is_asking else lines


def _name_asked(test: LiveTest, names: Names) -> str:
    """What is asked now, the controls of a step by what the plate says at them."""
    session, step = test.session, test.session.step
    words = test.prompt.words if test.prompt is not None else ""
    if step is None or not words.startswith(ask_step(session.model, step)):
        return words
    return ask_step(session.model, step, names.contact)


def describe_counts(session: Session) -> str:
    """How many steps there are of each verdict."""
    verdicts = session.verdicts()
    found = Counter(verdict.kind for verdict in verdicts)
    words = [f"{found[kind]} {kind}" for kind in VERDICT_KINDS if found[kind]]
    rest = len(session.steps) - len(verdicts)
    return ", ".join([*words, *([f"{rest} not yet"] if rest else [])])


def describe_verdict(verdict: Verdict, names: Names) -> str:
    """A verdict on one line."""
    sign, _ = SIGNS[verdict.kind]
    step, words = names.contact(name_step(verdict.step)), name_words(verdict.words, names)
    return f"{sign} {verdict.kind} {step}: {words}"


def describe_show(show: LiveShow, columns: int, rows: int) -> list[str]:
    """What the control does that was touched last, large where there is room for it."""
    poster, name = show.poster, describe_application(show.link)
    waits = [] if show.board.boxes else [NO_BOX]
    if show.touched is None:
        return [f"{name}: {' '.join(waits or poster.lines)}   x ends it."]
    large = render_poster(poster.words, min(columns, 120) - 1, min(max(rows // 3, 4), 16))
    return [*(large or [poster.words]), *poster.lines, *waits, f"{name}   x ends it."]
