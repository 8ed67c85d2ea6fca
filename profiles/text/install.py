"""How the Python that runs Platebook gets a package that it lacks."""

import os
import sys

SDL = ("pysdl2", "pysdl2-dll")
"""SDL and its binding, as the extra `live` names them."""


def pip_command(*packages: str, again: bool = False) -> str:
    """The command that installs packages for this very Python, as every shell reads it.

    Names carry no versions and no extras, so that nothing but a path with a space is quoted. A
    quoted path is run by PowerShell only behind its call operator `&` (about_Operators), which
    cmd, the one shell of Windows that sets PROMPT, does not know.
    """
    python = sys.executable or "python"
    if " " in python:
        is_powershell = sys.platform == "win32" and "PROMPT" not in os.environ
        python = f'{"& " * is_powershell}"{python}"'
    return f"{python} -m pip install {'--force-reinstall ' * again}{' '.join(packages)}"
