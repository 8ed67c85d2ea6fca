"""The program's version, as its installation tells it."""


def find_version() -> str:
    """The version, or `0` in a checkout that is not installed."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("platebook")
    except PackageNotFoundError:
        return "0"
