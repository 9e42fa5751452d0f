"""What was measured of one exercise of a client: the course for the therapist, a sentence for the client."""

from coach.model.measured.measured_course import MeasuredCourse
from coach.model.measured.tempo_kept import off_tempo
from coach.model.message_format import fill
from coach.progression.decision_messages import labelled_numbers
from coach.progression.measured.course import measured_course
from coach.progression.rule_book import RuleBook
from coach.session.lessons.measured_told import set_sentence
from coach.session.phrases import exercise_line
from coach.store.client_store import ClientStore
from coach.store.measured_sets.measured_files import set_key


def course_of(store: ClientStore) -> MeasuredCourse:
    """How much of the exercise was measured, and how the answers agree with it."""
    limits = store.content.limit_values(store.prescription.limits)
    return measured_course(store.sessions, store.folder.measured.by_set, RuleBook(store.content), limits)


def last_time_lines(store: ClientStore) -> tuple[str, ...]:
    """What the client is told at the start of what was measured of the last session, a line for each exercise."""
    told = ((one, _last_time(one)) for one in store.exercises)
    several = len(store.exercises) > 1
    return tuple(_named(one, line) if several else line for one, line in told if line)


def _last_time(store: ClientStore) -> str:
    """One sentence of the last measured set that was off the tempo, else of the last one, and whether it holds."""
    trained = [one for one in store.sessions if one.record.sets_done]
    if not trained:
        return ""
    last, by_set = trained[-1], store.folder.measured.by_set
    limits = store.content.limit_values(last.record.limits)
    keys = [set_key(last.record, done.number) for done in last.record.sets_done]
    found = [by_set[key] for key in keys if key in by_set]
    if not found:
        return ""
    off = [one for one in found if off_tempo(one, last.record.dose.tempo, limits) is not None]
    sentence = set_sentence((off or found)[-1], last.record, store.content)
    messages = store.content.messages.client.measured
    told = fill(messages.last_time, {"sentence": sentence})
    if last.veto is None:
        return told
    seen = labelled_numbers(last.veto.numbers, RuleBook(store.content))
    return f"{told} {fill(messages.holds, {'measured': seen['measured']})}"


def _named(store: ClientStore, line: str) -> str:
    return f"{exercise_line(store.prescription.exercise, store.profile.side, store.content)}: {line}"
