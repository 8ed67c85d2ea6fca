"""`platebook check --against FILE`: a profile held against its application's own settings file."""

from pathlib import Path

from profiles.cli.exits import Exit, Unusable
from profiles.cli.libraries import PUT_RIGHT, explain_fault, write_problems
from profiles.cli.output import show_path, write_report
from profiles.files.faults import FileFaultError
from profiles.files.library import LoadedLibrary
from profiles.work.drift import choose_profile, compare_with_file, report_drift


def check_against(loaded: LoadedLibrary, file: Path, profile: str | None, *, as_json: bool) -> Exit:
    """Print how a profile and the file differ; FINDINGS where they do.

    Raises:
        Unusable: where a file of the library, or this one, cannot be used.
    """
    if loaded.problems:
        raise Unusable(write_problems(loaded, loaded.problems), PUT_RIGHT)
    try:
        compared = compare_with_file(choose_profile(loaded.library, profile), file)
    except FileFaultError as fault:
        raise explain_fault(file, fault) from None
    write_report(report_drift(compared, show_path(file)), as_json=as_json)
    return Exit.FINDINGS if compared.drifts else Exit.FINE
