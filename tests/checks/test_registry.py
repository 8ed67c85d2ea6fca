"""The registry: settings apply, findings share their habits, the order of files is free."""

from collections.abc import Iterator

from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.checks.base import by_device, report
from profiles.checks.codes import CODES
from profiles.checks.registry import run_checks
from profiles.facts.device import DeviceFacts
from profiles.facts.survey import survey_of
from profiles.model import SEVERITIES, Acceptance, Application, Device, Finding, Library, Profile
from profiles.model import Settings as SettingsFile
from tests.checks.build import application, board, check, device, library, profile
from tests.checks.build import settings as settings_of
from tests.checks.test_pages import VERBS

BOX = device(
    """
    [controls.horn]
    input = 1
    [controls.bell]
    input = 1
    [controls.spare]
    input = 4
    [controls.gear]
    kind = "latching"
    input = 200
    [controls.trim]
    kind = "rotary"
    inputs = { clockwise = 5, anticlockwise = 6 }
    """
)
PROGRAM = application(
    """
    [actions.sound]
    need = "must"
    [actions.dim]
    need = "want"
    [actions.up]
    behaviour = "step"
    partner = "downn"
    [actions.down]
    behaviour = "step"
    """
)
PLAY = profile(
    """
    [bindings]
    hron = "dim"
    horn = ["up", "down"]
    gear = "up"
    "horn + bell" = "down"
    "trim.clockwise" = "up"
    """
)
FAULTY = (BOX, PROGRAM, PLAY)


def test_findings_follow_the_habits_of_wording() -> None:
    """Verb first in the remedy, no full stop, and a registered code."""
    findings = check(*FAULTY).findings

    assert len(findings) > 10
    for one in findings:
        assert one.code in CODES
        assert one.remedy.split()[0] in VERBS
        assert not one.message.endswith(".")
        assert not one.remedy.endswith(".")


def test_findings_are_sorted_by_document_then_worst_first() -> None:
    findings = check(*FAULTY).findings
    ranks = [(one.spot.document, SEVERITIES.index(one.severity)) for one in findings]

    assert ranks == sorted(ranks)


def test_no_finding_stands_twice() -> None:
    findings = check(*FAULTY).findings

    assert len(findings) == len(set(findings))


def test_each_finding_can_be_named_by_itself() -> None:
    """Code and subject are what an acceptance names, so no two findings may share both."""
    findings = check(*FAULTY).findings

    assert len(findings) == len({(one.code, one.subject) for one in findings})


@given(st.permutations(FAULTY))
@settings(max_examples=6, deadline=None)
def test_the_order_of_files_changes_nothing(
    documents: list[Device | Application | Profile],
) -> None:
    assert check(*documents) == check(*FAULTY)


@given(st.integers(0, len(check(*FAULTY).findings) - 1))
@settings(max_examples=20, deadline=None)
def test_an_acceptance_sets_exactly_one_finding_apart(place: int) -> None:
    findings = check(*FAULTY).findings
    chosen = findings[place]
    accept = Acceptance(code=chosen.code, subject=chosen.subject, reason="we live with it")

    result = check(*FAULTY, settings=SettingsFile(format=1, accept=(accept,)))

    assert result.findings == (*findings[:place], *findings[place + 1 :])
    assert [(one.finding, one.reason) for one in result.accepted] == [(chosen, "we live with it")]


@given(st.sampled_from(sorted(CODES)), st.sampled_from(SEVERITIES))
@settings(max_examples=30, deadline=None)
def test_a_changed_severity_changes_that_code_alone(code: str, severity: str) -> None:
    changed = settings_of(f'[severity]\n{code} = "{severity}"')

    before = {one.subject + one.code: one for one in check(*FAULTY).findings}
    after = {one.subject + one.code: one for one in check(*FAULTY, settings=changed).findings}

    assert before.keys() == after.keys()
    for key, one in after.items():
        assert one.severity == (severity if one.code == code else before[key].severity)


def test_off_hides_a_code() -> None:
    hidden = settings_of('[severity]\nnumber-gap = "off"')

    assert "number-gap" in {one.code for one in check(*FAULTY).findings}
    assert "number-gap" not in {one.code for one in check(*FAULTY, settings=hidden).findings}


def test_a_setting_for_an_unknown_code_is_a_finding_with_a_suggestion() -> None:
    wrong = settings_of('[severity]\nnumber-gapp = "off"')

    (found,) = check(settings=wrong).findings

    assert (found.code, found.message, found.remedy, found.subject) == (
        "setting-code-unknown",
        "no check reports `number-gapp`",
        "Write `number-gap`",
        "platebook.toml:severity.number-gapp",
    )


def test_an_acceptance_of_an_unknown_code_is_a_finding() -> None:
    wrong = settings_of('[[accept]]\ncode = "zzz"\nsubject = "desk"\nreason = "none"')

    (found,) = check(settings=wrong).findings

    assert (found.code, found.message, found.remedy, found.subject) == (
        "setting-code-unknown",
        "no check reports `zzz`",
        "Choose a code that `explain` lists",
        "platebook.toml:accept.0.code",
    )


def test_an_acceptance_that_matches_nothing_is_a_finding() -> None:
    stale = settings_of(
        '[[accept]]\ncode = "number-gap"\nsubject = "desk:controls"\nreason = "kept free"'
    )

    (found,) = check(settings=stale).findings

    assert (found.code, found.message, found.remedy, found.subject) == (
        "acceptance-unmatched",
        "acceptance of `number-gap` matches no finding",
        "Remove it, or correct the subject `desk:controls`",
        "platebook.toml:accept.0",
    )


def test_a_stale_acceptance_is_a_finding_though_its_code_still_occurs_elsewhere() -> None:
    """The control was renamed: the subject now has one close spelling, which is suggested."""
    subject = next(one.subject for one in check(*FAULTY).findings if one.code == "contact-idle")
    assert subject == "desk:controls.spare"
    stale = settings_of(
        '[[accept]]\ncode = "contact-idle"\nsubject = "desk:controls.spaer"\nreason = "kept free"'
    )

    result = check(*FAULTY, settings=stale)

    (found,) = [one for one in result.findings if one.code == "acceptance-unmatched"]
    assert (found.message, found.remedy, found.subject) == (
        "acceptance of `contact-idle` matches no finding",
        "Correct the subject to `desk:controls.spare`, or remove the acceptance",
        "platebook.toml:accept.0",
    )
    assert result.accepted == ()
    assert "desk:controls.spare" in [one.subject for one in result.findings]


def test_no_subject_is_suggested_that_another_acceptance_names() -> None:
    both = settings_of(
        '[[accept]]\ncode = "contact-idle"\nsubject = "desk:controls.spaer"\nreason = "old"\n'
        '[[accept]]\ncode = "contact-idle"\nsubject = "desk:controls.spare"\nreason = "new"'
    )

    result = check(*FAULTY, settings=both)

    (found,) = [one for one in result.findings if one.code == "acceptance-unmatched"]
    assert found.remedy == "Remove it, or correct the subject `desk:controls.spaer`"
    assert [(one.finding.subject, one.reason) for one in result.accepted] == [
        ("desk:controls.spare", "new")
    ]


def test_a_finding_accepted_twice_has_the_first_reason_and_one_line_too_many() -> None:
    twice = settings_of(
        '[[accept]]\ncode = "contact-idle"\nsubject = "desk:controls.spare"\nreason = "first"\n'
        '[[accept]]\ncode = "contact-idle"\nsubject = "desk:controls.spare"\nreason = "second"'
    )

    result = check(*FAULTY, settings=twice)

    (found,) = [one for one in result.findings if one.code == "acceptance-unmatched"]
    assert (found.message, found.remedy, found.subject) == (
        "acceptance of `contact-idle` is a duplicate",
        "Remove one of the two",
        "platebook.toml:accept.1",
    )
    assert [one.reason for one in result.accepted] == ["first"]


def test_settings_that_lead_somewhere_are_silent() -> None:
    right = settings_of('[severity]\nnumber-gap = "off"')

    assert check(settings=right).findings == ()


def test_an_acceptance_of_a_code_that_is_off_is_not_stale() -> None:
    """The finding is there, whether it is shown or not."""
    both = settings_of(
        '[severity]\nnumber-gap = "off"\n[[accept]]\ncode = "number-gap"\n'
        'subject = "desk:controls"\nreason = "kept free"'
    )

    assert "acceptance-unmatched" not in {
        one.code for one in check(*FAULTY, settings=both).findings
    }


def test_an_empty_library_has_no_findings() -> None:
    assert run_checks(Library()).findings == ()


def test_a_right_library_has_no_findings() -> None:
    box = device("[controls.horn]\ninput = 1")
    play = profile('[bindings]\nhorn = "sound"')

    assert check(box, application("[actions.sound]"), play).findings == ()


def test_counts_and_thresholds_go_by_severity() -> None:
    result = check(*FAULTY)

    assert sum(result.tally(severity) for severity in SEVERITIES) == len(result.findings)
    assert result.at_least("note") == result.findings
    assert {one.severity for one in result.at_least("warning")} == {"error", "warning"}


def test_users_boards_count_beside_our_own() -> None:
    own = board("mine", {"P1": "PA1"})
    box = device('[wiring]\nboard = "mine"\nrows = ["P1"]\ncolumns = ["P2"]')

    found = run_checks(library(box, own)).findings

    assert [(one.code, one.message) for one in found] == [
        ("pin-not-on-board", "`mine` has no pin `P2` for column 1")
    ]
    assert [one.code for one in run_checks(library(box)).findings] == ["board-unknown"]


def test_a_device_is_looked_at_again_only_where_it_or_its_board_is_another() -> None:
    looked: list[Device] = []

    @by_device
    def check_look(facts: DeviceFacts) -> Iterator[Finding]:
        looked.append(facts.device)
        yield report("board-unknown", "look", "Look", facts.spot("device"))

    own = board("own", {"A0": "PF7"})
    moved = BOX.model_copy(update={"plate": BOX.plate.model_copy(update={"width": 500.0})})
    wired = BOX.model_copy(update={"wiring": BOX.wiring.model_copy(update={"board": "own"})})
    libraries = [library(*FAULTY), library(BOX, PROGRAM), library(moved), library(wired)]
    found = [list(check_look(survey_of(one))) for one in (*libraries, library(wired, own))]
    assert looked == [BOX, moved, wired, wired]
    assert [len(each) for each in found] == [1] * 5
