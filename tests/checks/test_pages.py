"""The pages: one for every code and none besides, complete, and in the words of the glossary."""

import ast
import tomllib
from pathlib import Path

import pytest

from profiles.checks import numbers, timing
from profiles.checks import registry as registry_module
from profiles.checks.codes import CODES, FAMILIES, PAGES, find_page, read_family, read_pages
from profiles.checks.registry import CHECKS
from profiles.facts.device import SAME_PLACE
from profiles.model import SEVERITIES, Page
from profiles.plate.spacing import LEAST_WEB
from profiles.wiring.timing import LONGEST_BOUNCE

KEYS = {"title", "what", "why", "example", "remedy"}
OPTIONAL = {"source", "see-also"}

VERBS = {
    "Accept",
    "Add",
    "Bind",
    "Choose",
    "Close",
    "Correct",
    "Declare",
    "Describe",
    "Feed",
    "Fix",
    "Flatten",
    "Give",
    "Keep",
    "Lengthen",
    "Let",
    "Lower",
    "Make",
    "Move",
    "Name",
    "Number",
    "Put",
    "Raise",
    "Remove",
    "Reword",
    "Save",
    "Set",
    "Shorten",
    "Swap",
    "Try",
    "Update",
    "Write",
}
"""First words of the remedies; a new one is added here on purpose."""

EVERY = [pytest.param(page, id=code) for code, page in read_pages().items()]
CHECKED = [pytest.param(page, id=code) for code, page in read_pages().items() if code in CODES]


@pytest.mark.parametrize("page", EVERY)
def test_every_page_has_all_its_headings(page: Page) -> None:
    """Code, title, what, why, example and remedy; a source only if a figure rests on one."""
    for text in (page.code, page.title, page.what, page.why, page.example, page.remedy):
        assert text.strip() == text != ""
    assert page.severity in SEVERITIES
    assert page.code == page.code.lower()
    assert page.code.replace("-", "").replace("8", "").isalpha()
    assert not page.title.endswith(".")
    assert all(text.endswith(".") for text in (page.what, page.why, page.remedy))


@pytest.mark.parametrize("page", CHECKED)
def test_every_example_is_toml(page: Page) -> None:
    """Each paragraph of an example could stand in a file as it is."""
    for paragraph in page.example.split("\n\n"):
        assert tomllib.loads(paragraph) != {}


@pytest.mark.parametrize("page", EVERY)
def test_every_remedy_starts_with_a_verb(page: Page) -> None:
    assert page.remedy.split()[0] in VERBS


@pytest.mark.parametrize("page", EVERY)
def test_every_page_points_to_others_that_there_are(page: Page) -> None:
    assert set(page.see_also) <= read_pages().keys() - {page.code}
    assert len(set(page.see_also)) == len(page.see_also)


@pytest.mark.parametrize("family", sorted(FAMILIES))
def test_every_file_holds_the_pages_of_its_family_and_no_unknown_key(family: str) -> None:
    """Exactly the codes of the family, in their order, each with the keys of a page."""
    written = tomllib.loads((PAGES / f"{family}.toml").read_text("utf-8"))

    assert list(written) == list(FAMILIES[family])
    for page in written.values():
        assert page.keys() >= KEYS
        assert page.keys() <= KEYS | OPTIONAL
        assert all(isinstance(page[key], str) for key in page.keys() - {"see-also"})


def test_no_file_of_pages_is_left_over() -> None:
    assert {path.name for path in PAGES.iterdir()} == {f"{family}.toml" for family in FAMILIES}


def test_no_two_pages_share_a_code_or_a_title() -> None:
    codes = [code for family in FAMILIES.values() for code in family]

    assert len(codes) == len(set(codes)) == len({page.title for page in read_pages().values()})


def test_every_code_is_reported_by_the_family_that_has_its_page() -> None:
    """The texts in the modules that look like codes of findings are those with a page, and back."""
    folder = Path(registry_module.__file__).parent
    for family in FAMILIES.keys() - {"files"}:
        module = "registry" if family == "settings" else family
        tree = ast.parse((folder / f"{module}.py").read_text("utf-8"))
        texts = {node.value for node in ast.walk(tree) if isinstance(node, ast.Constant)}

        assert {text for text in texts if text in CODES} == FAMILIES[family].keys()


def test_every_check_of_a_family_is_registered() -> None:
    """A function `check_...` that no run calls would be a check that never finds anything."""
    folder = Path(registry_module.__file__).parent
    written = {
        (family, node.name)
        for family in FAMILIES.keys() - {"files", "settings"}
        for node in ast.parse((folder / f"{family}.py").read_text("utf-8")).body
        if isinstance(node, ast.FunctionDef) and node.name.startswith("check_")
    }
    registered = [(check.__module__.split(".")[-1], check.__name__) for check in CHECKS]

    assert set(registered) == written
    assert len(registered) == len(written)


def test_a_page_is_found_by_its_code() -> None:
    page = find_page("input-repeated")

    assert page is not None
    assert page.title == "One input number serves two contacts"
    assert page.severity == "error"
    assert find_page("input-repaeted") is None


def test_finding_one_page_reads_one_file(monkeypatch: pytest.MonkeyPatch) -> None:
    read: list[str] = []
    whole = Path.read_text

    def note(path: Path, encoding: str) -> str:
        read.append(path.name)
        return whole(path, encoding)

    monkeypatch.setattr(Path, "read_text", note)
    read_family.cache_clear()

    find_page("number-gap")

    assert read == ["numbers.toml"]


@pytest.mark.parametrize(
    ("code", "figure"),
    [
        ("controls-share-place", f"{SAME_PLACE:g} mm"),
        ("holes-close", f"{LEAST_WEB:g} mm"),
        ("number-beyond-host", f"{numbers.WIDEST_HOST}"),
        ("number-beyond-linux", f"{numbers.LINUX}"),
        ("turn-slow", f"{timing.HAND_TURN:g} detents/s"),
        ("debounce-short", f"{LONGEST_BOUNCE:g} ms"),
        ("hold-short", f"{timing.LONGEST_GAP:g} ms"),
    ],
)
def test_pages_tell_the_figures_that_the_checks_use(code: str, figure: str) -> None:
    page = read_pages()[code]

    assert figure in " ".join((page.what, page.remedy, page.source))
