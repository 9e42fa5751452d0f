"""Whether a setup says where the band and the client go: without that, another load is pulled than is computed."""

from collections.abc import Iterator, Mapping
from pathlib import Path

from coach.authoring.check_placeholders import ONLY_OF_ANCHOR, SETUP_VALUES, texts_in_file
from coach.content_files.content_folder import ContentFiles
from coach.model.content import Content
from coach.model.exercise import AnchorKind
from coach.model.message_format import placeholders, stray_brace
from coach.toml.diagnostic import Diagnostic
from coach.toml.source_file import SourceFile

# What `place` or `arm` must be filled with, and the one of them where it is missed.
_BAND = {"band": "arm", "strands": "arm"}
_MUST_SAY: Mapping[AnchorKind, Mapping[str, str]] = {
    "fixed": {"anchor_height_cm": "place", "distance_cm": "place", "turn": "place", **_BAND},
    "foot": {"underfoot_cm": "place", **_BAND},
}


def check_setup_says(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """A fault for each length, turn or band of the setup that no line of a position tells the client."""
    for stem, exercise in content.exercises.items():
        messages = content.messages.exercises.get(stem)
        for position in exercise.positions:
            words = messages.position.get(position.name) if messages is not None else None
            if words is None:
                continue
            text, must = " ".join((*words.place, *words.arm)), _MUST_SAY[position.anchor]
            said = placeholders(text)
            other: AnchorKind = "fixed" if position.anchor == "foot" else "foot"
            if stray_brace(text) or said - set(SETUP_VALUES) or said & set(ONLY_OF_ANCHOR[other]):
                continue  # told, and the cause
            for name, part in must.items():
                if name not in text:
                    what = f"the setup does not say {{{name}}}, so another load is pulled than is computed"
                    at = ("position", position.name, part)
                    source = SourceFile(_says(files, content.messages.language, f"{stem}.toml", at))
                    yield source.at_key(at, what, f"{{{name}}} in place or arm", f"say it in {part}")


def _says(files: ContentFiles, language: str, name: str, at: tuple[str, ...]) -> Path:
    """The file that has these lines: the clinic's where it overrides them."""
    own = files.clinic / language / name if files.clinic is not None else None
    overrides = own is not None and any(key[:3] == at for key, _ in texts_in_file(own))
    return own if own is not None and overrides else files.messages(language, name)
