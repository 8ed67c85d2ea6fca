"""Every key of the files as data, and what `explain` tells of one."""

from pathlib import Path
from typing import Any

import pytest

from profiles.files.documents import FORMATS, read_document
from profiles.files.keys import Key, find_keys, list_keys
from profiles.files.validate import KINDS
from profiles.model.base import Value
from profiles.model.keys import read_key_texts
from tests.cli.conftest import Run
from tests.conftest import EXAMPLES

KNOWN = {(key.kind, key.path) for key in list_keys()}
NAMED_BY_OWNER = {
    "controls",
    "parts",
    "actions",
    "bindings",
    "labels",
    "inputs",
    "pins",
    "crossings",
    "bits",
    "devices",
    "fields",
}
FILES = sorted(
    path
    for path in (EXAMPLES / "harbour").rglob("*.*")
    if path.suffix in FORMATS and path.name != "platebook.toml"
)


def test_every_key_is_described_once() -> None:
    assert [key for key in list_keys() if not key.description or not key.takes] == []
    assert len(KNOWN) == len(list_keys())


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_every_key_that_an_example_uses_is_listed(path: Path) -> None:
    content = read_document(path).content
    kind = next(kind for kind in KINDS if kind in content)

    def walk(value: Any, above: str, free: bool) -> None:
        members = value if isinstance(value, list) else [value]
        for table in (member for member in members if isinstance(member, dict)):
            for key, inner in table.items():
                below = f"{above}.{'*' if free else key}".removeprefix(".")
                if not free:
                    assert (kind, below) in KNOWN
                elif not isinstance(inner, dict | list):
                    continue
                walk(inner, below, not free and key in NAMED_BY_OWNER | {"contexts", "groups"})

    walk(content, "", False)


def test_a_key_is_found_by_its_name_or_path() -> None:
    (key,) = find_keys("wiring.debounce")
    assert key == Key(
        *("device", "wiring.debounce", "number above 0 to 10000"),
        *(False, "7.0", "Debounce time, ms."),
    )
    assert [found.path for found in find_keys("front")] == [
        "controls.*.front",
        "fixtures.*.front",
        "parts.*.front",
        "part.front",
    ]
    for word in ("controls.front", "controls.horn.front", "controls.*.front"):
        assert [found.path for found in find_keys(word)] == ["controls.*.front"]
    assert [found.path for found in find_keys("controls.horn.led.pin")] == ["controls.*.led.pin"]
    assert find_keys("controls.nothing") == find_keys("nothing") == []


def test_a_kind_finds_its_keys_and_a_key_says_whose_it_is() -> None:
    banks = "wiring.banks.*."
    assert {key.path.removeprefix(banks): key.of for key in find_keys("ladder")} == {
        "kind": (),
        "pin": ("multiplexer", "ladder"),
        "pull_up": ("ladder",),
        "steps": ("ladder",),
        "tolerance": ("ladder",),
    }
    (pin,) = (key for key in find_keys("wiring.banks.deck.pin"))
    assert pin.description == (
        "multiplexer: Board pin of the common terminal. ladder: Board pin that measures it."
    )
    (detents,) = find_keys("controls.trim.detents")
    assert detents.description == "rotary: Detents in one full turn."


def test_explain_tells_of_a_key(platebook: Run) -> None:
    ran = platebook("explain", "wiring.settle")
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.splitlines() == [
        "wiring.settle",
        "",
        "Key                    Takes                    Default  Meaning",
        "---------------------  -----------------------  -------  -------------------------",
        "device: wiring.settle  number above 0 to 10000  5.0      Settling time a line, µs.",
    ]


def test_every_text_belongs_to_a_key_and_every_key_has_its_text() -> None:
    waiting: list[type[Value]] = [Value]
    fields = {}
    while waiting:
        found = waiting.pop()
        waiting += found.__subclasses__()
        if getattr(found, "stands_for", Value) is not Value:
            continue  # the part of a kind of control, whose keys are that control's
        fields[found.__name__] = {key for key in found.model_fields if key in vars_of(found)}
    texts = {name: set(table) for name, table in read_key_texts().items()}
    assert {name: keys for name, keys in fields.items() if keys} == texts


def vars_of(model: type[Value]) -> set[str]:
    """The fields that a class adds to those of its parents."""
    return set(model.__annotations__)
