"""The faults that a position must ask about: those that the position of the same name in the program asks about."""

from collections.abc import Iterable, Iterator, Mapping

from coach.authoring.protection.as_shipped import shipped_content
from coach.content_files.content_folder import ContentFiles
from coach.model.content import Content
from coach.model.content_entries import FormQuestion
from coach.model.exercise import Position
from coach.toml.diagnostic import Diagnostic
from coach.toml.source_file import SourceFile


def check_asked_faults(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """A fault for each fault of form that a position of the program asks about, and the same one here does not.

    What is not asked counts as clean, and the load would rise on it. A question with another name counts as the one
    that asks about the same fault.
    """
    shipped = shipped_content()
    for stem, there in shipped.exercises.items() if shipped is not None else ():
        exercise = content.exercises.get(stem)
        models = {one.name: one for one in there.positions}
        for index, position in enumerate(exercise.positions if exercise is not None else ()):
            model = models.get(position.name)
            if shipped is None or model is None:
                continue
            path, number = files.position(stem, index)
            not_asked = [*_not_asked(position, content.questions, model, shipped.questions)]
            if not_asked:
                names = " or ".join(not_asked)
                what = f"position {position.name} does not ask {names}, so a fault that it is about counts as clean"
                expected = f"each question of this position in the program: {', '.join(model.questions)}"
                fix = f"add {', '.join(_quoted(not_asked))} to questions"
                yield SourceFile(path).at_value(("positions", number, "questions"), what, expected, fix)


def _quoted(names: Iterable[str]) -> Iterator[str]:
    return (f'"{name}"' for name in names)


def _not_asked(
    position: Position,
    here: Mapping[str, FormQuestion],
    model: Position,
    shipped: Mapping[str, FormQuestion],
) -> Iterator[str]:
    asked = {here[name].fault for name in position.questions if name in here}
    for name in model.questions:
        if name not in position.questions and shipped[name].fault not in asked:
            yield name
