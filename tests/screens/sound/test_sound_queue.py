"""The one queue: what goes first, what is not begun, and what waits."""

from coach.screens.sound.sound_queue import Priority, Sound, SoundQueue

LENGTHS = {"stop": 3.0, "word": 1.0, "first": 2.0, "second": 0.5}


def _length(sound: Sound) -> float | None:
    return LENGTHS.get(sound.words)


def _queue(*sounds: Sound) -> SoundQueue:
    queue = SoundQueue()
    queue.add(sounds)
    return queue


def _words(queue: SoundQueue, now_s: float, free_until_s: float) -> str | None:
    sound = queue.take(now_s, free_until_s, _length)
    return sound.words if sound is not None else None


def test_the_more_urgent_goes_first_and_of_equals_the_one_that_came_first() -> None:
    queue = _queue(Sound(Priority.LINE, "first"), Sound(Priority.SIGNAL, "word"), Sound(Priority.LINE, "second"))
    queue.add([Sound(Priority.STOP, "stop")])
    assert [_words(queue, 0.0, 100.0) for _ in range(5)] == ["stop", "word", "first", "second", None]


def test_a_line_too_long_for_its_place_is_not_begun_and_a_shorter_one_behind_it_is() -> None:
    queue = _queue(Sound(Priority.LINE, "first"), Sound(Priority.LINE, "second"))
    assert _words(queue, 10.0, 11.9) == "second"
    assert _words(queue, 10.0, 11.9) is None
    assert _words(queue, 10.0, 12.0) == "first"


def test_what_keeps_the_client_safe_needs_no_room() -> None:
    assert _words(_queue(Sound(Priority.STOP, "stop")), 0.0, 1.0) == "stop"


def test_a_signal_whose_moment_has_passed_is_never_begun() -> None:
    queue = _queue(Sound(Priority.SIGNAL, "word", until_s=5.0))
    assert _words(queue, 5.0, 100.0) is None
    assert _words(queue, 4.0, 100.0) is None  # and it is off the queue


def test_while_the_file_of_a_line_is_made_those_behind_it_wait_and_a_signal_does_not() -> None:
    queue = _queue(Sound(Priority.LINE, "unmade"), Sound(Priority.LINE, "second"))
    assert _words(queue, 0.0, 100.0) is None
    queue.add([Sound(Priority.SIGNAL, "word")])
    assert _words(queue, 0.0, 100.0) == "word"
    assert queue.unfinished(_length)
