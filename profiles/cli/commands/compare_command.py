"""`platebook compare`: controls against applications, as a table on stdout or on any sheet."""

from profiles.cli.commands.print_command import make_command
from profiles.sheets.requests import ComparisonRequest

command = make_command(ComparisonRequest, name="compare", form="text")
