"""`platebook compare`: controls against titles, as a table on stdout or on any sheet."""

from profiles.cli.commands.print_command import make_command
from profiles.sheets.registry import SHEETS

command = make_command(SHEETS["comparison"], name="compare", form="text")
