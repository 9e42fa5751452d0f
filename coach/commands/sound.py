"""`coach sound`: play the tones and words of a session."""

import argparse
from pathlib import Path

from coach.commands.support.arguments import Commands, add_command
from coach.commands.support.loading import client_store
from coach.commands.support.output import FINE


def add_commands(commands: Commands) -> None:
    """Add sound."""
    sound = add_command(
        commands,
        "sound",
        _sound,
        "Says which player and voice this computer uses, then plays each tone once with "
        "its word, if there is a voice, and shows its meaning. Takes about 15 seconds; "
        "ctrl-c stops it.",
        ("coach sound", "coach sound demo_profiles/tern"),
        client=False,
    )
    sound.add_argument(
        "profile",
        type=Path,
        nargs="?",
        metavar="PROFILE",
        help="use the sound settings of this client (default: every sound)",
    )


def _sound(arguments: argparse.Namespace) -> int:
    from coach.content_files.content_folder import content_folder, load_content
    from coach.model.profile import SoundSettings
    from coach.screens.sound.sound_check import check_sound

    settings, language = SoundSettings(voice=True), "en"
    if arguments.profile is not None:
        profile = client_store(arguments.profile).profile
        settings, language = profile.sound, profile.language
    check_sound(settings, language, load_content(content_folder(), language), print)
    return FINE
