"""What the model refuses is told in words of the file, each with one way out."""

import copy
from typing import Any

import pytest

from profiles.files.documents import parse_text
from profiles.files.faults import FileFaultError
from profiles.files.validate import validate_content, validate_settings
from profiles.model import Application, Device, Profile
from tests.hostile import NAUGHTY

DEVICE = parse_text(
    """
format = 1
[device]
id = "helm-desk"
name = "Helm desk"
[plate]
width = 220.0
height = 120
[wiring]
rows = ["A0"]
[controls.horn]
kind = "momentary"
label = "HORN"
position = [30, 90.0]
hole = 16.2
[controls.mode]
kind = "selector"
label = "MODE"
position = [30.0, 30.0]
hole = [5.0, 5.0]
positions = 3
""",
    "toml",
)
PROFILE: dict[str, Any] = {
    "format": 1,
    "profile": {"application": "harbour", "device": "helm-desk"},
    "bindings": {},
}
APPLICATION: dict[str, Any] = {
    "format": 1,
    "application": {"id": "harbour", "name": "Harbour"},
    "actions": {"horn": {"name": "Horn"}},
}


def _tell(content: dict[str, Any]) -> list[str]:
    with pytest.raises(ExceptionGroup) as caught:
        validate_content(content)
    told = []
    for fault in caught.value.exceptions:
        assert isinstance(fault, FileFaultError)
        told.append(f"{fault.code}: {fault.message} -> {fault.remedy}")
    return told


def _changed(content: dict[str, Any], path: str, value: Any) -> dict[str, Any]:
    changed = copy.deepcopy(content)
    holder = changed
    *parents, key = path.split("/")
    for part in parents:
        holder = holder[part]
    if value is None:
        del holder[key]
    else:
        holder[key] = value
    return changed


@pytest.mark.parametrize(
    ("path", "typo", "told"),
    [
        ("format", "fromat", "unknown-key: unknown key `fromat` -> Write `format`"),
        ("plate", "plat", "unknown-key: unknown key `plat` -> Write `plate`"),
        ("plate/width", "widht", "unknown-key: unknown key `widht` in `plate` -> Write `width`"),
        (
            "controls/horn/kind",
            "kindd",
            "unknown-key: unknown key `kindd` in `controls.horn` -> Write `kind`",
        ),
        (
            "controls/horn/position",
            "postion",
            "unknown-key: unknown key `postion` in `controls.horn` -> Write `position`",
        ),
    ],
)
def test_a_misspelt_key_that_must_be_there_is_one_fault(path: str, typo: str, told: str) -> None:
    *parents, key = path.split("/")
    holder: Any = DEVICE
    for part in parents:
        holder = holder[part]
    content = _changed(_changed(DEVICE, path, None), "/".join([*parents, typo]), holder[key])

    assert _tell(content) == [told]


def test_sound_content_becomes_the_models_values() -> None:
    assert isinstance(validate_content(DEVICE), Device)
    assert isinstance(validate_content(PROFILE), Profile)
    assert isinstance(validate_content(APPLICATION), Application)


@pytest.mark.parametrize(
    ("path", "value", "told"),
    [
        ("format", None, "missing-key: no `format` -> Write `format = 1` at the top of the file"),
        ("format", "1", "wrong-value: `format` is not 1 -> Write `format = 1`"),
        ("format", True, "wrong-value: `format` is not 1 -> Write `format = 1`"),
        (
            "format",
            2,
            "newer-format: format 2 is newer than the 1 read here -> "
            "Update Platebook to read this file",
        ),
        (
            "profile",
            {},
            "mixed-kinds: one file holds `device` and `profile` -> Give each a file of its own",
        ),
        ("wirings", {}, "unknown-key: unknown key `wirings` -> Write `wiring`"),
        ("plate", None, "missing-key: the file has no `plate` -> Add `plate`: The faceplate"),
        (
            "plate/width",
            None,
            "missing-key: `plate` has no `width` -> Add `width`: Width, mm",
        ),
        (
            "plate/width",
            "220",
            "wrong-value: `plate.width` is `220`, not a number -> Write `220` without quotes",
        ),
        (
            "plate/width",
            0,
            "wrong-value: `plate.width` must be a number above 0 -> "
            "Write a number above 0: Width, mm",
        ),
        (
            "plate/colour",
            "red",
            "wrong-value: `plate.colour` must be a colour such as `#1a2b3c` -> "
            "Write a colour such as `#1a2b3c`: Colour of the plate",
        ),
        (
            "controls/horn/kind",
            "momentery",
            "wrong-value: `controls.horn.kind` is no kind of control -> Write `momentary`",
        ),
        (
            "controls/horn/kind",
            "lever",
            "wrong-value: `controls.horn.kind` is no kind of control -> "
            "Write `momentary`, `latching`, `rotary`, `selector`, `hat` or `axis`",
        ),
        (
            "controls/horn/kind",
            None,
            "missing-key: `controls.horn` has no `kind` -> "
            "Add `kind`: `momentary`, `latching`, `rotary`, `selector`, `hat` or `axis`",
        ),
        (
            "controls/horn/lable",
            "x",
            "unknown-key: unknown key `lable` in `controls.horn` -> Write `label`",
        ),
        (
            "controls/horn/positions",
            3,
            "unknown-key: unknown key `positions` in `controls.horn` -> "
            'Remove it, or write `kind = "selector"`: no other kind of control has it',
        ),
        (
            "controls/horn/hole",
            "big",
            "wrong-value: `controls.horn.hole` is `big`, not a number, a list or a "
            "table -> Write a number, a list or a table: Hole in the plate, mm: diameter, "
            "[width, height], or a table for other shapes",
        ),
        (
            "controls/horn/position",
            [1.0],
            "wrong-value: `controls.horn.position` is a list of 1, too short -> "
            "Complete the list: Centre, mm from the plate's lower left corner",
        ),
        (
            "controls/horn/inputs",
            {"pres": 1},
            "wrong-value: `controls.horn.inputs` names no contact `pres` -> Write `press`",
        ),
        (
            "controls/mode/input",
            1,
            "wrong-value: `controls.mode` `input` needs one value a contact here: write `inputs` "
            "-> Correct or remove `input`",
        ),
        (
            "controls/mode/spring",
            [2],
            "wrong-value: `controls.mode` has a `spring` between positions that stay, or at all of "
            "them: only those at its ends can spring back -> Correct or remove `spring`",
        ),
        (
            "wiring/diodes",
            "non",
            "wrong-value: `wiring.diodes` is `non`, not `every`, `none` or a list -> Write `none`",
        ),
        (
            "device/name",
            "\x1b[2J",
            None,
        ),
        (
            "device/id",
            "a b",
            "wrong-value: `device.id` must be letters, digits, `-` and `_` only -> "
            "Write letters, digits, `-` and `_` only: Id, unique in the library",
        ),
        (
            "controls",
            [],
            "wrong-value: `controls` is an empty list, not a table -> "
            "Write a table: The controls, by id",
        ),
    ],
)
def test_each_mistake_in_a_device_has_its_sentence(path: str, value: Any, told: str | None) -> None:
    content = _changed(DEVICE, path, value)
    if told is None:
        validate_content(content)
    else:
        assert _tell(content) == [told]


@pytest.mark.parametrize(
    ("key", "value", "told"),
    [
        (
            "kind",
            "laddder",
            "wrong-value: `wiring.banks.keys.kind` is no kind of bank -> Write `ladder`",
        ),
        (
            "kind",
            "chip",
            "wrong-value: `wiring.banks.keys.kind` is no kind of bank -> "
            "Write `expander`, `multiplexer` or `ladder`",
        ),
        (
            "pull_up",
            "10k",
            "wrong-value: `wiring.banks.keys.pull_up` is `10k`, not a number -> "
            "Write `10` without quotes",
        ),
        (
            "tolerance",
            "10k",
            "wrong-value: `wiring.banks.keys.tolerance` is `10k`, not a number -> "
            "Write a number: Tolerance of the resistors, per cent",
        ),
        (
            "select",
            ["8"],
            "unknown-key: unknown key `select` in `wiring.banks.keys` -> "
            'Remove it, or write `kind = "multiplexer"`: no other kind of bank has it',
        ),
        (
            "interupt",
            "8",
            "unknown-key: unknown key `interupt` in `wiring.banks.keys` -> "
            "Remove it; known here: kind, pin, pull_up, steps, tolerance",
        ),
    ],
)
def test_each_mistake_in_a_bank_has_its_sentence(key: str, value: Any, told: str) -> None:
    ladder = {"kind": "ladder", "pin": "A0", "pull_up": 10.0, key: value}
    assert _tell(_changed(DEVICE, "wiring/banks", {"keys": ladder})) == [told]


@pytest.mark.parametrize(
    ("binding", "told"),
    [
        (
            5,
            "wrong-value: `bindings.horn` is 5, not text, a table or a list -> "
            "Write text, a table or a list: Contact, or contacts joined by +, to action",
        ),
        (
            "no good",
            "wrong-value: `bindings.horn` is `no good`, which is no id of an action -> "
            "Write the id, as written in `[actions.id]` of the application",
        ),
        (
            {"actoin": "x", "action": "y"},
            "unknown-key: unknown key `actoin` in `bindings.horn` -> Write `action`",
        ),
        (
            {"legend": "X"},
            "missing-key: `bindings.horn` has no `action` -> Add `action`: Id of the action",
        ),
        (
            ["ok", {"action": 3}],
            'wrong-value: `bindings.horn.1.action` is 3, not text -> Write `"3"`',
        ),
        (
            [],
            "wrong-value: `bindings.horn` has fewer than 1 members -> "
            "Change it: Contact, or contacts joined by +, to action",
        ),
    ],
)
def test_a_binding_of_three_forms_is_told_once(binding: Any, told: str) -> None:
    assert _tell(_changed(PROFILE, "bindings/horn", binding)) == [told]


def test_a_key_that_is_no_contact_is_told() -> None:
    assert _tell(_changed(PROFILE, "bindings", {"a..b": "x", "a + a": "x"})) == [
        "wrong-value: key `a..b` in `bindings` is no contact such as `horn` or `trim.clockwise` "
        "-> Rename the key",
        "wrong-value: key `a + a` in `bindings` names one contact twice -> Rename the key",
    ]


def test_many_problems_are_counted_after_a_hundred() -> None:
    told = _tell(_changed(PROFILE, "bindings", {f"b{n}": n for n in range(1000)}))
    assert len(told) == 101
    assert told[-1] == "more-problems: 900 more problems in this file -> Fix the first ones"


@pytest.mark.parametrize("text", NAUGHTY)
def test_hostile_texts_are_told_on_one_harmless_line(text: str) -> None:
    places = ("device/name", "device/id", "controls/horn/label", "controls/horn/kind")
    for path in (*places, "wiring/diodes", "plate/colour", f"device/{text.replace('/', '')}"):
        content = _changed(DEVICE, path, text)
        try:
            validate_content(content)
        except ExceptionGroup as group:
            for fault in group.exceptions:
                assert isinstance(fault, FileFaultError)
                assert not set(fault.message + fault.remedy) & set("\n\r\x1b\x9b\x07\u202a\u2066")
                assert len(fault.message) < 400


def test_no_message_names_the_libraries_or_types_of_the_implementation() -> None:
    content = _changed(_changed(DEVICE, "controls/horn", 1), "plate", {"width": [], "x": {}})
    told = " ".join(_tell(content)).lower()
    for word in ("pydantic", "dict", "str ", "tuple", "none", "object", "validation", "input"):
        assert word not in told


def test_settings_are_told_too() -> None:
    with pytest.raises(ExceptionGroup) as caught:
        validate_settings({"format": 1, "severity": {"a": "of"}, "accept": [{"code": "a"}]})
    assert [str(fault) for fault in caught.value.exceptions] == [
        "`severity.a` is `of`, not `error`, `warning`, `note` or `off`",
        "`accept.0` has no `subject`",
        "`accept.0` has no `reason`",
    ]


@pytest.mark.parametrize(
    ("label", "remedy"),
    [
        ("{hron} HORN", "Write `{horn}`, or `{{hron}` for the letters"),
        ("{zzz}", "Write `{{zzz}` for the letters; `platebook explain sign` names the signs"),
    ],
)
def test_a_sign_that_there_is_not_is_named_with_a_close_one(label: str, remedy: str) -> None:
    content = copy.deepcopy(DEVICE)
    content["controls"]["horn"]["label"] = label
    word = label.partition("{")[2].partition("}")[0]
    (told,) = _tell(content)
    message = f"`controls.horn.label` holds {{{word}}}, but there is no sign `{word}`"
    assert told == f"wrong-value: {message} -> {remedy}"
