"""Whether a clinic's own folder is right, and what in it is said or set otherwise."""

from collections.abc import Iterator
from pathlib import Path

from coach.content_files.clinic_limits import MOVED
from coach.content_files.content_folder import FORM, SAFETY, content_folder, exercise_files, languages, load_content
from coach.model.content import Own
from coach.toml.diagnostic import Diagnostic, FileFault, in_order, whole_file
from coach.toml.value_faults import nearest


def check_clinic(clinic: Path) -> tuple[Diagnostic, ...]:
    """Every fault of a clinic's folder; empty where all is well."""
    shipped = content_folder()
    faults = dict.fromkeys(_strangers(clinic, shipped))
    for language in _languages(clinic, shipped):
        try:
            load_content(shipped, language, clinic)
        except FileFault as fault:
            faults.update(dict.fromkeys(fault.faults))
    return in_order(faults)


def own_of(clinic: Path) -> tuple[Own, ...]:
    """What a clinic says or sets otherwise, in all its languages; nothing where its folder is not right."""
    shipped = content_folder()
    try:
        said = [load_content(shipped, language, clinic).own for language in _languages(clinic, shipped)]
    except FileFault:
        return ()
    return tuple(dict.fromkeys(own for each in said for own in each))


def _languages(clinic: Path, shipped: Path) -> tuple[str, ...]:
    """The languages it has words in; limits alone are read with any."""
    spoken = languages(shipped)
    return tuple(language for language in languages(clinic) if language in spoken) or spoken[:1]


def _strangers(clinic: Path, shipped: Path) -> Iterator[Diagnostic]:
    """What is not a clinic's to write, or has a misspelt name: it would never be read."""
    words = [FORM, SAFETY, *(path.name for path in exercise_files(shipped))]
    spoken = languages(shipped)
    for path in sorted(path for path in clinic.rglob("*.toml") if path != clinic / MOVED):
        inside = path.relative_to(clinic).parts
        if len(inside) == 2 and inside[0] not in spoken:
            what, expected = f"there are no words in the language {inside[0]!r}", f"one of {', '.join(spoken)}"
            yield whole_file(path, what, expected, "put the file into the folder of a language", None)
        elif len(inside) != 2 or inside[1] not in words:
            expected = f"{MOVED}, and in a folder for a language {', '.join(words)}"
            mend = "the rest is the same in every clinic: take the file out"
            near = nearest(path.name, [MOVED, *words])
            yield whole_file(path, "this file is none that a clinic may write", expected, mend, near)
