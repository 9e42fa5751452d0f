"""The words of a set in the exercise's own way: what is shown, said and written of the tempo."""

from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.messages.session_screens import SetWords, SignalName, SoundWords
from coach.model.prescription import Tempo


def set_words(content: Content, exercise: str) -> SetWords:
    """The words of the set screen, with the exercise's own word for the way against the band."""
    words, out = content.words.screens.set, content.words.exercises[exercise].out
    return words if out is None else words.model_copy(update={"out": out})


def spoken(sound: SoundWords, words: SetWords) -> dict[SignalName, str]:
    """What is said at each signal."""
    return {name: fill(text, {"out": words.out}) for name, text in sound.spoken.items()}


def tempo_values(content: Content, exercise: str, tempo: Tempo) -> dict[str, object]:
    """The places of a line about the tempo: the seconds of each part, and the word for the way against the band."""
    seconds = {name.removesuffix("_s"): f"{value:g}" for name, value in tempo.model_dump().items()}
    return {**seconds, "out_word": set_words(content, exercise).out}
