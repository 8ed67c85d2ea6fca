"""What each key of the files means, as data: `keys.toml`, by the class that holds it.

The meaning of a field stands there and not beside the field, so that messages, schemas and a
manual all say the same.
"""

from functools import cache
from pathlib import Path


@cache
def read_key_texts() -> dict[str, dict[str, str]]:
    """Every text by class and key, with the unit of the value where it has one."""
    import tomllib

    return tomllib.loads(Path(__file__).with_name("keys.toml").read_text(encoding="utf-8"))


def describe_field(model: type, name: str) -> str:
    """What a field of a class means, looked up in its parents and in what it stands for."""
    whole = getattr(model, "stands_for", object)
    parents = (*model.__mro__, *whole.__mro__)
    texts = (read_key_texts().get(parent.__name__, {}).get(name) for parent in parents)
    return next((text for text in texts if text), "")
