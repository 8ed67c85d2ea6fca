"""Starter files: readable, clean together, and inert whatever names go in."""

import tomllib
from typing import Any, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from profiles.checks.registry import run_checks
from profiles.files.starters import StarterError, StarterKind, quote_toml, starter
from profiles.model import Application, Board, Device, Library, LibraryDocument, Part, Profile
from profiles.text.inert import escape_controls
from tests.hostile import NAUGHTY

NAMES: dict[str, dict[str, str]] = {
    "device": {"id": "helm", "name": "Helm"},
    "application": {"id": "ferry", "name": "Ferry"},
    "profile": {"id": "ferry-helm", "name": "Helm", "application": "ferry", "device": "helm"},
    "board": {"id": "attic", "name": "Attic"},
    "part": {"id": "push", "name": "Push"},
}
KINDS: tuple[StarterKind, ...] = get_args(StarterKind)
MODELS: dict[str, type[LibraryDocument]] = {
    "device": Device,
    "application": Application,
    "profile": Profile,
    "board": Board,
    "part": Part,
}


def read(kind: StarterKind, **names: str) -> dict[str, Any]:
    return tomllib.loads(starter(kind, **{**NAMES[kind], **names}))


def library_of(*extra: str) -> Library:
    """The three starters as one library, with lines put under the profile's bindings."""
    documents: list[LibraryDocument] = [
        Device.model_validate(read("device")),
        Application.model_validate(read("application")),
        Profile.model_validate(
            tomllib.loads("\n".join([starter("profile", **NAMES["profile"]), *extra]))
        ),
    ]
    return Library.of(documents)


@pytest.mark.parametrize("kind", KINDS)
def test_starter_holds_the_names_given(kind: StarterKind) -> None:
    header = read(kind)[kind]

    assert {key: header[key] for key in NAMES[kind]} == NAMES[kind]


@pytest.mark.parametrize("kind", ["device", "application", "board", "part"])
def test_starter_alone_passes_check(kind: StarterKind) -> None:
    document = MODELS[kind].model_validate(read(kind))

    assert run_checks(Library.of([document])).findings == ()


def test_three_starters_together_pass_check() -> None:
    """A profile that binds nothing yet brings notes at most."""
    result = run_checks(library_of())

    assert [one for one in result.findings if one.severity != "note"] == []


def test_keys_proposed_for_controls_are_clean_once_uncommented() -> None:
    head, mark, controls = starter("device", **NAMES["device"]).partition("[controls.horn]")
    proposed = [line for line in controls.splitlines() if line.startswith("# ")]
    lines = "\n".join(line.removeprefix("# ") for line in controls.splitlines())
    device = Device.model_validate(tomllib.loads(head + mark + lines))

    assert len(proposed) == 3
    assert run_checks(Library.of([device])).findings == ()


def test_bindings_proposed_in_the_profile_are_clean_once_uncommented() -> None:
    lines = starter("profile", **NAMES["profile"]).split("[bindings]\n")[1].splitlines()
    bindings = [line.removeprefix("# ") for line in lines]

    result = run_checks(library_of(*bindings))

    assert len(bindings) == 6
    assert result.findings == ()


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("text", NAUGHTY)
def test_hostile_name_comes_back_as_it_was(kind: StarterKind, text: str) -> None:
    """The name is one string in the file and changes nothing around it."""
    plain = read(kind)
    try:
        named = read(kind, name=text)
    except StarterError:
        assert not text.strip() or len(text) > 400 or not text.isprintable()
        return

    assert named[kind].pop("name") == text
    del plain[kind]["name"]
    assert named == plain


@pytest.mark.parametrize("text", NAUGHTY)
def test_hostile_id_is_refused_or_harmless(text: str) -> None:
    """The model is the judge of ids; what is refused is told in one harmless line."""
    content = read("device")
    content["device"]["id"] = text
    try:
        Device.model_validate(content)
    except ValidationError:
        with pytest.raises(StarterError) as caught:
            read("device", id=text)
        message = str(caught.value)
        assert message.startswith("id `")
        assert message == escape_controls(message)
        assert len(message) < 700
    else:
        assert read("device", id=text) == content


@given(st.text(alphabet=st.characters(exclude_categories=["Cs"])))
def test_quoted_text_reads_back_the_same(text: str) -> None:
    """Law: a TOML reader gives back what was quoted, and the file shows nothing unprintable."""
    quoted = quote_toml(text)

    assert tomllib.loads(f"x = {quoted}") == {"x": text}
    assert quoted.isprintable()


def test_what_is_put_in_is_not_looked_at_again() -> None:
    assert read("profile", name='"@device@"')["profile"]["name"] == '"@device@"'


@pytest.mark.parametrize(
    ("kind", "names", "message"),
    [
        ("device", {"id": "helm"}, "starter of a device needs `name`"),
        (
            "device",
            {"id": "helm", "name": "Helm", "application": "x"},
            "starter of a device takes no `application`",
        ),
        (
            "device",
            {"id": "my helm", "name": "Helm"},
            "id `my helm` is no id: write letters, digits, `-` and `_`, at most 64",
        ),
        ("device", {"id": "helm", "name": " "}, "name is empty: write at least one letter"),
        (
            "device",
            {"id": "helm", "name": "x" * 401},
            "name has 401 letters: write at most 400",
        ),
        (
            "device",
            {"id": "helm", "name": "\ud800"},
            "name holds half a letter (a lone surrogate): write the whole letter",
        ),
        ("plate", {}, "no starter for `plate`: choose device, application, profile, board or part"),
    ],
)
def test_message_says_what_is_wrong(kind: Any, names: dict[str, str], message: str) -> None:
    with pytest.raises(StarterError) as caught:
        starter(kind, **names)

    assert str(caught.value) == message
