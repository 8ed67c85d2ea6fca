"""How the Python that runs Platebook gets a package that it lacks."""

import sys

SDL = ("pysdl2", "pysdl2-dll")
"""SDL and its binding, as the extra `live` names them."""


def pip_command(*packages: str, again: bool = False) -> str:
    """The command that installs packages for this very Python, as every shell reads it.

    Names carry no versions and no extras, so that nothing but a path with a space is quoted.
    """
    python = sys.executable or "python"
    python = f'"{python}"' if " " in python else python
    return f"{python} -m pip install {'--force-reinstall ' * again}{' '.join(packages)}"
