"""The check of a clinic's folder, and what it overrides."""

from collections.abc import Iterator
from pathlib import Path

from coach.content_files.clinic_limits import CLINIC_LIMITS
from coach.content_files.content_folder import FORM, SAFETY, content_folder, exercise_files, languages, load_content
from coach.model.content import ClinicOverride
from coach.toml.diagnostic import Diagnostic, FileFault, sort_faults, whole_file
from coach.toml.nearest_name import nearest_name


def check_clinic(clinic: Path) -> tuple[Diagnostic, ...]:
    """Every fault of a clinic's folder, in order of their positions; empty if there is none."""
    shipped = content_folder()
    faults = dict.fromkeys(_unexpected_files(clinic, shipped))
    for language in _languages(clinic, shipped):
        try:
            load_content(shipped, language, clinic)
        except FileFault as fault:
            faults.update(dict.fromkeys(fault.faults))
    return sort_faults(faults)


def overrides_of(clinic: Path) -> tuple[ClinicOverride, ...]:
    """Everything that a clinic overrides, in all its languages; empty if its folder has faults."""
    shipped = content_folder()
    try:
        overrides = [load_content(shipped, language, clinic).overrides for language in _languages(clinic, shipped)]
    except FileFault:
        return ()
    return tuple(dict.fromkeys(override for each in overrides for override in each))


def _languages(clinic: Path, shipped: Path) -> tuple[str, ...]:
    """The languages that it has messages in. If it only has limits, one language is enough to check them."""
    available = languages(shipped)
    return tuple(language for language in languages(clinic) if language in available) or available[:1]


def _unexpected_files(clinic: Path, shipped: Path) -> Iterator[Diagnostic]:
    """Files that would never be read: a clinic may not write them, or their names are misspelt."""
    files = [FORM, SAFETY, *(path.name for path in exercise_files(shipped))]
    available = languages(shipped)
    for path in sorted(path for path in clinic.rglob("*.toml") if path != clinic / CLINIC_LIMITS):
        inside = path.relative_to(clinic).parts
        if len(inside) == 2 and inside[0] not in available:
            what, expected = f"there are no messages in the language {inside[0]!r}", f"one of {', '.join(available)}"
            yield whole_file(path, what, expected, "move the file into the folder of a language")
        elif len(inside) != 2 or inside[1] not in files:
            expected = f"{CLINIC_LIMITS}, and in a folder for a language {', '.join(files)}"
            fix = "remove the file: all other content is the same in every clinic"
            near = nearest_name(path.name, [CLINIC_LIMITS, *files])
            yield whole_file(path, "a clinic may not write this file", expected, fix, near)
