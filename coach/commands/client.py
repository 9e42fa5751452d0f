"""What the client runs: a session, a rehearsal of it, and its tones."""

import argparse
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.support.arguments import add_theme, declare
from coach.commands.support.loading import answers_in, client_and_content, in_review
from coach.commands.support.output import CUT_OFF, FAULTS, FINE, NOT_NOW, say

if TYPE_CHECKING:
    from coach.model.content import Content
    from coach.screens.start import Ending, Way
    from coach.store.client_folder import ProfileFolder

_SLOWEST, _FASTEST = 0.1, 10_000.0


def declare_all(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """session, rehearse, sound."""
    plain = "line by line, for a screen reader, a pipe or a small terminal"
    session = declare(
        commands,
        "session",
        _session,
        "be led through today's session",
        "It asks how the shoulder is, shows where to fix the band and where to stand,\n"
        "has band and anchor checked, keeps the tempo, asks about form after each set,\n"
        "and ends with what was decided and why. One key answers; p is for pain or\n"
        "trouble, the space bar pauses, q ends it. Every answer is kept at once: closed,\n"
        "killed or out of battery, the next start goes on where it was. Where the clock\n"
        "stands before the last session, none begins, and both times are said.",
        ("coach session demo_profiles/tern", "coach session demo_profiles/tern --plain"),
    )
    session.add_argument("--plain", action="store_true", help=plain)
    _add_look_and_sound(session)
    rehearsal = declare(
        commands,
        "rehearse",
        _rehearse,
        "go through today's session at any speed, with nothing kept",
        "The same pages as in a session, answered by hand or from a file. It may be\n"
        "done on any day, and while the client is in review.",
        (
            "coach rehearse demo_profiles/tern --speed 10",
            "coach rehearse demo_profiles/tern --speed 1000 --plain \\\n      --answers demo_profiles/answers.toml",
        ),
    )
    rehearsal.add_argument(
        "--speed", type=_speed, default=1.0, metavar="N", help="so many times as fast as a session; 1 without it"
    )
    rehearsal.add_argument(
        "--answers",
        type=Path,
        metavar="FILE",
        help="answers from a file, as preview takes it",
    )
    rehearsal.add_argument("--plain", action="store_true", help=plain)
    _add_look_and_sound(rehearsal)
    sound = declare(
        commands,
        "sound",
        _sound,
        "say what plays the tones of a session, and play each",
        "Each tone once, beside what it means, and a spoken word where this machine has\n"
        "a voice. About a quarter of a minute; ctrl-c ends it.",
        ("coach sound", "coach sound demo_profiles/tern"),
        client=False,
    )
    sound.add_argument(
        "profile",
        type=Path,
        nargs="?",
        metavar="PROFILE",
        help="as this client's profile.toml wants it; all without one",
    )


def _add_look_and_sound(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--silent", action="store_true", help="no tone, no word, no bell; coach sound says what plays"
    )
    add_theme(command)


def _session(chosen: argparse.Namespace) -> int:
    from coach.screens.start import way_here
    from coach.store.client_folder import require_profile
    from coach.store.lock import lock

    require_profile(chosen.profile)
    way = replace(way_here(chosen.plain), silent=chosen.silent, theme=chosen.theme)
    with lock(chosen.profile):
        folder, content = client_and_content(chosen.profile, mends=True)
        return _held_session(folder, content, way)


def _held_session(folder: "ProfileFolder", content: "Content", way: "Way") -> int:
    from coach.model.message_format import fill
    from coach.screens.start import show
    from coach.store.client_store import dated_after
    from coach.store.clock import now
    from coach.store.live_session import open_session

    at = now().at
    dated = dated_after(folder, at)
    if dated is not None:
        times = {"now": at.strftime("%Y-%m-%d %H:%M"), "last": dated.strftime("%Y-%m-%d %H:%M")}
        return say(fill(content.words.screens.offer.clock, times), NOT_NOW)
    opening = open_session(folder, content, now())
    progress = opening.plan.before
    if progress.status == "review":
        return say(in_review(progress, content), NOT_NOW)
    return _ended(show(content, opening, way))


def _ended(ending: "Ending") -> int:
    """Say how a session ended; its exit code."""
    if ending.farewell:
        print(ending.farewell)
    return CUT_OFF if ending.cut_off else ending.code


def _rehearse(chosen: argparse.Namespace) -> int:
    from coach.screens.start import show, way_here
    from coach.session.rehearsal import rehearse
    from coach.store.clock import now
    from coach.store.live_session import open_rehearsal

    folder, content = client_and_content(chosen.profile)
    opening, answers = open_rehearsal(folder, content, chosen.speed), answers_in(chosen.answers)
    if answers is not None:
        try:
            rehearse(opening.plan, answers, now().at)
        except ValueError as error:
            return say(f"{chosen.answers}: {error}", FAULTS)
    way = way_here(chosen.plain, chosen.speed, somebody=answers is None)
    return _ended(show(content, opening, replace(way, silent=chosen.silent, theme=chosen.theme), answers))


def _sound(chosen: argparse.Namespace) -> int:
    from coach.content_files.content_folder import content_folder, load_content
    from coach.model.profile import SoundSettings
    from coach.screens.sound.sound_check import try_out
    from coach.session.set_words import spoken

    settings, language = SoundSettings(voice=True), "en"
    if chosen.profile is not None:
        profile = client_and_content(chosen.profile)[0].profile
        settings, language = profile.sound, profile.language
    words = load_content(content_folder(), language).words.screens
    try_out(settings, language, words.sound, spoken(words.sound, words.set), print)
    return FINE


def _speed(text: str) -> float:
    try:
        speed = float(text)
    except ValueError:
        speed = 0.0
    if not _SLOWEST <= speed <= _FASTEST:
        raise argparse.ArgumentTypeError(f"{text} is no speed: give a number from {_SLOWEST:g} to {_FASTEST:g}")
    return speed
