"""Print the lowest versions that pyproject.toml allows, as constraints for pip."""

import re
import tomllib
from pathlib import Path

project = tomllib.loads(Path("pyproject.toml").read_text(encoding="utf-8"))["project"]
for lines in (project["dependencies"], *project["optional-dependencies"].values()):
    for line in lines:
        if found := re.fullmatch(r"([\w.-]+)>=([\d.]+)", line):
            print(f"{found[1]}=={found[2]}")
