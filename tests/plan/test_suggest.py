"""Proposals: what suits goes where it suits, next to its like, and nothing is taken twice."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.model import Application, Device, Library, Profile, Report
from profiles.plan.suggest import Plan, suggest

KINDS = {
    "momentary": {"inputs": ["press"]},
    "latching": {"inputs": ["on"]},
    "rotary": {"inputs": ["clockwise", "anticlockwise", "press"]},
}


def device(**kinds: str) -> Device:
    """Controls in one row, 30 mm apart, inputs counted up."""
    controls: dict[str, Any] = {}
    number = 0
    for place, (name, kind) in enumerate(kinds.items()):
        inputs = {}
        for contact in KINDS[kind]["inputs"]:
            number += 1
            inputs[contact] = number
        controls[name] = {
            "kind": kind,
            "label": name,
            "position": [20.0 + 30 * place, 30.0],
            "hole": 12.0,
            "inputs": inputs,
        }
    header = {"id": "desk", "name": "Desk"}
    plate = {"width": 400.0, "height": 60.0}
    return Device.model_validate(
        {"format": 1, "device": header, "plate": plate, "controls": controls}
    )


def title(name: str, **actions: dict[str, Any]) -> Application:
    plain = {key.replace("_", "-"): {"name": key, **fields} for key, fields in actions.items()}
    return Application.model_validate(
        {"format": 1, "application": {"id": name, "name": name}, "actions": plain}
    )


def profile(name: str, bindings: dict[str, str]) -> Profile:
    header = {"id": name, "application": name, "device": "desk"}
    return Profile.model_validate({"format": 1, "profile": header, "bindings": bindings})


def plan_for(
    box: Device, actions: dict[str, dict[str, Any]], bindings: dict[str, str] | None = None
) -> Plan:
    library = Library.of([box, title("harbour", **actions), profile("harbour", bindings or {})])
    return suggest(library, "harbour")


def keys_of(plan: Plan) -> dict[tuple[str, ...], tuple[str, ...]]:
    return {proposal.actions: proposal.keys for proposal in plan.proposals}


def test_behaviour_finds_the_kind_that_suits() -> None:
    box = device(lever="latching", push="momentary", knob="rotary")
    plan = plan_for(
        box,
        {
            "gear": {"behaviour": "follows", "need": "must"},
            "horn": {"behaviour": "held", "need": "must"},
            "up": {"behaviour": "step", "need": "must", "direction": "increase", "partner": "down"},
            "down": {"behaviour": "step", "need": "must", "direction": "decrease", "partner": "up"},
        },
    )
    assert keys_of(plan) == {
        ("gear",): ("lever",),
        ("horn",): ("push",),
        ("up", "down"): ("knob.clockwise", "knob.anticlockwise"),
    }
    assert plan.homeless == ()


def test_clockwise_increases_whichever_partner_is_named_first() -> None:
    plan = plan_for(
        device(knob="rotary"),
        {
            "down": {"behaviour": "step", "need": "want", "direction": "decrease", "partner": "up"},
            "up": {"behaviour": "step", "need": "want", "direction": "increase", "partner": "down"},
        },
    )
    assert keys_of(plan) == {("up", "down"): ("knob.clockwise", "knob.anticlockwise")}


def test_an_action_that_nothing_suits_is_named() -> None:
    plan = plan_for(device(push="momentary"), {"gear": {"behaviour": "follows", "need": "must"}})
    assert (plan.proposals, plan.homeless) == ((), ("gear",))


def test_must_comes_before_want_when_places_run_out() -> None:
    plan = plan_for(
        device(push="momentary"),
        {"nice": {"need": "want"}, "vital": {"need": "must"}, "spare": {"need": "may"}},
    )
    assert keys_of(plan) == {("vital",): ("push",)}
    assert plan.homeless == ("nice",)


def test_a_group_stays_together() -> None:
    names = {f"push-{n}": "momentary" for n in range(6)}
    plan = plan_for(
        device(**names),
        {"lamp-a": {"group": "lights"}, "lamp-b": {"group": "lights", "need": "must"}},
        {"push-5": "lamp-a"},
    )
    assert keys_of(plan) == {("lamp-b",): ("push-4",)}
    assert plan.proposals[0].reasons == (
        "a push-button suits what acts once per press",
        "near the other controls of `lights`",
    )


def test_a_group_goes_where_another_title_has_it() -> None:
    names = {f"push-{n}": "momentary" for n in range(6)}
    library = Library.of(
        [
            device(**names),
            title(
                "harbour",
                lamp={"group": "lights", "need": "must"},
                beacon={"group": "lights"},
            ),
            title("canal", lantern={"group": "lights"}),
            profile("harbour", {}),
            profile("canal", {"push-3": "lantern"}),
        ]
    )
    plan = suggest(library, "harbour")
    assert keys_of(plan) == {("lamp",): ("push-3",)}
    assert plan.proposals[0].reasons[1] == "another application has `lights` on this control"


def test_an_unknown_profile_is_a_key_error() -> None:
    with pytest.raises(KeyError):
        suggest(Library.of([]), "nowhere")


behaviours = st.sampled_from(["pulse", "held", "follows", "step"])


@given(
    st.lists(st.sampled_from(sorted(KINDS)), min_size=1, max_size=6),
    st.lists(st.tuples(behaviours, st.sampled_from(["must", "want"])), max_size=8),
)
def test_no_contact_is_proposed_twice_and_no_action_is_lost(
    kinds: list[str], wanted: list[tuple[str, str]]
) -> None:
    box = device(**{f"control-{n}": kind for n, kind in enumerate(kinds)})
    actions = {
        f"action-{n}": {"behaviour": behaviour, "need": need}
        for n, (behaviour, need) in enumerate(wanted)
    }
    plan = plan_for(box, actions)
    contacts = [contact for proposal in plan.proposals for contact in proposal.contacts]
    assert len(set(contacts)) == len(contacts)
    told = [action for proposal in plan.proposals for action in proposal.actions]
    assert sorted([*told, *plan.homeless]) == sorted(actions)


def test_what_the_box_never_sends_is_not_proposed() -> None:
    """Input 2 lies beyond the one button that the box declares."""
    box = device(horn="momentary", bell="momentary")
    header = box.device.model_copy(update={"report": Report(buttons=1)})
    small = box.model_copy(update={"device": header})
    actions = {"toot": {"need": "must"}, "ring": {"need": "must"}}

    plan = plan_for(small, actions)
    assert [one.keys for one in plan.proposals] == [("horn",)]
    assert len(plan.homeless) == 1


def labelled(**labels: str) -> Device:
    """Push-buttons with these labels, or with another kind behind a colon."""
    box = device(**{key: label.partition(":")[2] or "momentary" for key, label in labels.items()})
    content = box.plain()
    for key, label in labels.items():
        content["controls"][key]["label"] = label.partition(":")[0]
    return Device.model_validate(content)


def test_every_action_that_shares_words_with_a_free_fitting_control_lands_there() -> None:
    """By label, by id, by legend, shortened, in the plural, and by its group."""
    box = labelled(
        c1="LT", c2="NAV LT", c3="DECK LIGHTS", c4="HORN", pump="P1", c6="GEAR:latching",
        c7="FLAPS:rotary", c8="RADIO 2", c9="RADIO 1", c10="HEAT", c11="WIPER",
    )  # fmt: skip
    actions = {
        "wipers": {"name": "Windscreen wipers", "need": "must"},
        "a1": {"name": "Radio one", "legend": "RADIO 1", "need": "want"},
        "a2": {"name": "Radio two", "legend": "RADIO 2", "need": "want"},
        "deck": {"name": "Deck light", "need": "want"},
        "navigation-lights": {"name": "Navigation lights", "need": "want"},
        "sound": {"name": "Sound the horn", "need": "must"},
        "bilge": {"name": "Bilge pump on", "need": "want"},
        "gear": {"name": "Landing gear", "behaviour": "follows", "need": "must"},
        "warm": {"name": "Warm the cabin", "group": "heating", "need": "want"},
        "more": {
            "name": "Extend flaps",
            "behaviour": "step",
            "direction": "increase",
            "partner": "less",
            "need": "want",
        },
        "less": {
            "name": "Retract flaps",
            "behaviour": "step",
            "direction": "decrease",
            "partner": "more",
            "need": "want",
        },
        "mystery": {"name": "Something else", "need": "must"},
    }
    plan = plan_for(box, actions)

    assert keys_of(plan) == {
        ("wipers",): ("c11",),
        ("a1",): ("c9",),
        ("a2",): ("c8",),
        ("deck",): ("c3",),
        ("navigation-lights",): ("c2",),
        ("sound",): ("c4",),
        ("bilge",): ("pump",),
        ("gear",): ("c6",),
        ("warm",): ("c10",),
        ("more", "less"): ("c7.clockwise", "c7.anticlockwise"),
        ("mystery",): ("c1",),
    }
    reasons = {one.actions[0]: one.reasons[1:] for one in plan.proposals}
    assert reasons["warm"] == ("`HEAT` shares words with its group",)
    assert reasons["sound"] == ("`HORN` shares words with it",)


def test_words_that_everything_has_place_nothing() -> None:
    box = labelled(c1="RADIO ON", c2="BELL")
    plan = plan_for(box, {"a": {"name": "Autopilot on", "need": "must"}, "b": {"name": "Turn on"}})

    assert plan.proposals[0].reasons == ("a push-button suits what acts once per press",)


def test_a_must_without_words_is_not_left_out_for_words() -> None:
    box = labelled(c1="HORN")
    plan = plan_for(
        box, {"horn": {"name": "Horn", "need": "want"}, "stop": {"name": "Halt", "need": "must"}}
    )
    assert keys_of(plan) == {("stop",): ("c1",)}
    assert plan.homeless == ("horn",)


spoken = st.lists(
    st.text("bdfgklmnprtvz", min_size=4, max_size=8), min_size=20, max_size=20, unique=True
).filter(lambda words: not any(a != b and b.startswith(a) for a in words for b in words))


@given(spoken, st.permutations(range(20)))
def test_words_of_a_whole_box_are_all_kept(words: list[str], order: list[int]) -> None:
    box = labelled(**{f"k{n}": word.upper() for n, word in enumerate(words)})
    actions = {f"a{n}": {"name": f"Do {words[n]} now", "need": "want"} for n in order}

    found = keys_of(plan_for(box, actions))
    assert found == {(f"a{n}",): (f"k{n}",) for n in range(20)}


@given(st.permutations(range(20)))
def test_a_second_revision_of_the_box_keeps_all_bindings(order: list[int]) -> None:
    """Words would lead elsewhere: what a person has chosen comes first."""
    old = labelled(**{f"k{n}": f"B{n}" for n in range(20)})
    content = old.plain()
    content["device"] = {"id": "desk-2", "name": "Desk, second revision"}
    for n in range(20):
        content["controls"][f"k{n}"]["position"][1] = 35.0 - n
        content["controls"][f"k{n}"]["label"] = f"ACT {n}"
    content["controls"] = dict(reversed(content["controls"].items()))
    new = Device.model_validate(content)
    actions = {f"a{n}": {"name": f"Act {n}", "need": "want"} for n in range(20)}
    bindings = {f"k{n}": f"a{at}" for n, at in enumerate(order)}
    header = {"id": "second", "application": "harbour", "device": "desk-2"}
    second = Profile.model_validate({"format": 1, "profile": header, "bindings": {}})
    library = Library.of(
        [old, new, title("harbour", **{key.replace("-", "_"): one for key, one in actions.items()}),
         profile("harbour", bindings), second]
    )  # fmt: skip

    assert keys_of(suggest(library, "second")) == {
        (action,): (key,) for key, action in bindings.items()
    }
