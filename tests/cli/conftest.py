"""Names that the tests of commands share; the fixtures stand in `tests/conftest.py`."""

from tests.conftest import EXAMPLES, ROOT, Ran, Run, edit

__all__ = ["EXAMPLES", "ROOT", "Ran", "Run", "edit"]
