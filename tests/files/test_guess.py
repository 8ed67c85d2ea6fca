"""What a file that cannot be used most likely holds."""

from pathlib import Path

import pytest

from profiles.files.documents import Document
from profiles.files.guess import guess_from_content, guess_from_file
from profiles.files.library import load_library
from profiles.model import Unusable


@pytest.mark.parametrize(
    ("text", "kind", "word"),
    [
        ('# id = "old"\n[device]\nid = "helm"\nname = ', "device", "helm"),
        ("[ board ]\nid = helm # no quotes", "board", "helm"),
        ("profile:\n  id: play\n  device: helm\n -", "profile", "play"),
        ('{"application": {"name": "x", "id": "harbour"', "application", "harbour"),
        ('{"profile": {"device": "helm", "id": "play"', "profile", "play"),
        ("[device]\nname = ", "device", None),
        ('[devise]\nid = "helm"\nname = ', None, "helm"),
        ("\x00", None, "the-file"),
        ("", None, "the-file"),
    ],
)
def test_kind_and_id_are_read_from_a_broken_text(
    tmp_path: Path, text: str, kind: str | None, word: str | None
) -> None:
    path = tmp_path / "the-file.toml"
    path.write_text(text, encoding="utf-8")

    assert guess_from_file(path) == Unusable(kind, word)


def test_a_file_that_cannot_be_read_is_known_by_its_name(tmp_path: Path) -> None:
    assert guess_from_file(tmp_path / "helm.toml") == Unusable(None, "helm")


def test_a_folder_that_may_not_be_listed_may_hold_anything(tmp_path: Path) -> None:
    assert guess_from_file(tmp_path) == Unusable(None, None)


@pytest.mark.parametrize(
    ("content", "kind", "word"),
    [
        ({"device": {"id": "helm"}}, "device", "helm"),
        ({"device": {"id": "helm"}, "profile": {"id": "play"}}, None, "helm"),
        ({"device": {"id": "no id"}}, "device", None),
        ({"device": []}, "device", None),
        ({"devise": {"id": "helm"}}, None, "helm"),
        ({"format": 1}, None, "the-file"),
    ],
)
def test_kind_and_id_are_read_from_refused_content(
    content: dict[str, object], kind: str | None, word: str | None
) -> None:
    document = Document(Path("the-file.toml"), "toml", content, b"")

    assert guess_from_content(document) == Unusable(kind, word)


def test_a_second_document_with_an_id_stays_known_by_its_kind(tmp_path: Path) -> None:
    application = 'format = 1\nactions = {}\n[application]\nid = "helm"\nname = "Helm"\n'
    for name in ("a.toml", "b.toml"):
        (tmp_path / name).write_text(application)

    library = load_library(tmp_path).library

    assert library.unusable == (Unusable("application", "helm"),)
    assert library.may_define("application", "helm")
    assert not library.may_define("device")
