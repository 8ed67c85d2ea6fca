"""Binding keys: what they name, and what is refused."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.model.binding import BindingKeyError, BoundAction, ContactName, parse_key, uses_of

names = st.from_regex(r"[A-Za-z0-9][A-Za-z0-9_-]{0,8}", fullmatch=True)
contacts = st.builds(
    ContactName, device=st.none() | names, control=names, contact=st.none() | names
)


def test_a_plain_key_names_the_control() -> None:
    key = parse_key("horn")
    assert (key.held, key.acting) == ((), ContactName(None, "horn", None))


def test_the_last_contact_acts_and_the_others_are_held() -> None:
    key = parse_key("shift + helm-desk/trim.clockwise")
    assert key.held == (ContactName(None, "shift", None),)
    assert key.acting == ContactName("helm-desk", "trim", "clockwise")


@given(st.lists(contacts, min_size=1, max_size=4, unique=True))
def test_a_key_written_out_reads_back_the_same(parts: list[ContactName]) -> None:
    key = parse_key("+".join(str(part) for part in parts))
    assert parse_key(str(key)) == key
    assert (*key.held, key.acting) == tuple(parts)


@pytest.mark.parametrize("text", ["", " + horn", "horn +", "a.b.c", "a/b/c", "horn!", "ho rn"])
def test_what_is_no_contact_is_refused(text: str) -> None:
    with pytest.raises(BindingKeyError) as caught:
        parse_key(text)
    assert str(caught.value) == "is no contact such as `horn` or `trim.clockwise`"


def test_a_contact_held_and_acting_at_once_is_refused() -> None:
    with pytest.raises(BindingKeyError) as caught:
        parse_key("horn + horn")
    assert str(caught.value) == "names one contact twice"


def test_every_short_form_means_its_long_form() -> None:
    assert uses_of("a") == (BoundAction(action="a"),)
    assert uses_of(("a", BoundAction(action="b", legend="B"))) == (
        BoundAction(action="a"),
        BoundAction(action="b", legend="B"),
    )
