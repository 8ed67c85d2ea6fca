"""A command that may not write, or not alone, says so and loses nothing."""

from collections import Counter

from tests.needs import skip_unless
from tests.systems.apart import has_apart
from tests.work.refusals import try_command

pytestmark = skip_unless(has_apart(), "needs file systems of one's own (namespaces of Linux)")


def test_full_disks_read_only_places_and_second_savers_lose_nothing() -> None:
    """A share of what `python -m tests.work.refusals` does to every command that writes.

    Both runs bind the same control of one profile otherwise, so that one has to be refused.
    """
    tries = try_command("convert --csv", moments=1)
    assert [each for each in tries if each.problems] == []
    trials = Counter(each.trial for each in tries if each.was_refused)
    assert trials == {"full": 1, "mount": 1, "folder": 1, "file": 1, "race": 1}
