"""The words of the therapist so far, the newest first; which were taken back, and which still can be."""

from coach.files.profile_folder import ProfileFolder
from coach.model.base import fill
from coach.model.content_set import Content
from coach.model.page_words.steering import SteeringWords
from coach.model.prescription import SignOff
from coach.progression.signed import came_between
from coach.reports.layout import heading, paragraph

_BELOW = " " * 4


def words_so_far(folder: ProfileFolder, content: Content) -> str:
    """Every sign-off as text, at most 80 columns wide."""
    words = content.words.of(SteeringWords)
    lines = heading(f"{words.history}: {folder.profile.name}")
    newest_first = sorted(folder.prescription.sign_offs, key=lambda one: one.at, reverse=True)
    for one in newest_first:
        line, *below = word_lines(one, folder, words)
        lines += ["", *paragraph(line)]
        for text in below:
            lines += paragraph(text, _BELOW)
    if not newest_first:
        lines += paragraph(words.no_history)
    return "\n".join(lines) + "\n"


def word_lines(word: SignOff, folder: ProfileFolder, words: SteeringWords) -> list[str]:
    """One sign-off: when, who and what; then why, and what has become of it."""
    at = word.at.strftime("%Y-%m-%d %H:%M:%S")
    lines = [f"{at}  {word.initials}  {said_in_words(word, words)}", word.reason]
    records = [one.record for one in folder.kept]
    for back in folder.prescription.sign_offs:
        if back.signed_at == word.at:
            taken = words.no_effect if came_between(word.at, back.at, records) else words.taken_back
            when = back.at.strftime("%Y-%m-%d %H:%M:%S")
            lines.append(fill(taken, {"at": when, "initials": back.initials, "reason": back.reason}))
    return [*lines, words.may_take_back] if may_take_back(word, folder) else lines


def may_take_back(word: SignOff, folder: ProfileFolder) -> bool:
    """Whether no session was done since, and nobody has taken it back."""
    newest = max((one.record.last_at for one in folder.kept), default=None)
    return word in folder.prescription.words and (newest is None or newest < word.at)


def said_in_words(word: SignOff, words: SteeringWords) -> str:
    """What a word says, with its values."""
    values = word.model_dump(
        mode="json", exclude_none=True, exclude={"at", "initials", "what", "reason", "changed", "load"}
    )
    said = [f"{name} {value}" for name, value in values.items()]
    if word.load is not None:
        said += [f"{name} {value}" for name, value in word.load.model_dump().items()]
    none = words.nothing_there
    for change in word.changed:
        said.append(
            fill(words.change_line, {"key": change.key, "was": change.was or none, "now": change.now or none})
        )
    name = words.word[word.what].name
    return f"{name}: {', '.join(said)}" if said else name
