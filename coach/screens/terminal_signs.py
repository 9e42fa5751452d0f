"""Which signs a terminal draws itself, by what it says of itself in its environment.

A sign that a font draws can leave gaps between cells or be missing, so only what the terminal draws is used, and of
what is not known for certain the coarser. Variables are inherited: in a multiplexer they are those of the terminal
that it was started in, and a terminal started from another one has the other's variables. So a multiplexer gets the
signs that every terminal has, and so does an environment in which two terminals are named.
"""

import re
from collections.abc import Mapping

from msgspec import Struct

from coach.model.option_names import SignChoice, SignSetName

DEFAULT_SIGNS: SignSetName = "quadrants"

# Set by multiplexers for what runs in them; and the names that they give their terminals.
_MULTIPLEXERS = ("TMUX", "STY", "ZELLIJ")
_MULTIPLEXED_TERMS = ("screen", "tmux")


class _Claim(Struct, frozen=True):
    """A terminal that is known by a variable, by how its value begins or by the least number that it has.

    `since` is the least version, in TERM_PROGRAM_VERSION.
    """

    terminal: str
    variable: str
    begins: str
    signs: SignSetName
    least: int = 0
    since: tuple[int, int] = (0, 0)


_VERSION = re.compile(r"(\d{1,4})\.(\d{1,4})")

# Each with where the terminal says what it draws itself. kitty and foot draw octants too, in versions that they do
# not name in their environment, so there octants are left to the setting: kitty since 0.40.0 of 2025-03-08 (read:
# docs/changelog.rst, "Add support for the octant box-drawing characters"), foot since 1.20 (second hand).
_CLAIMS = (
    # The console has a font of 256 or 512 signs: console_codes(4), setfont(8).
    _Claim("linux", "TERM", "linux", "halves"),
    # Read: kitty, docs/changelog.rst, 0.19.0: "special rendering for various characters" of the block.
    _Claim("kitty", "TERM", "xterm-kitty", "sextants"),
    _Claim("kitty", "KITTY_WINDOW_ID", "", "sextants"),
    # Read: foot, CHANGELOG.md, 1.7.0 and 1.8.0, "rendered by foot itself"; its box-drawing.c draws sextants.
    _Claim("foot", "TERM", "foot", "sextants"),
    # Read: Ghostty, release notes 1.2.0: "new sprites" and the octants' rounding put right; its pull request 5433.
    _Claim("ghostty", "TERM_PROGRAM", "ghostty", "octants", since=(1, 2)),
    _Claim("ghostty", "TERM_PROGRAM", "ghostty", "sextants"),
    _Claim("ghostty", "TERM", "xterm-ghostty", "sextants"),
    # Read: WezTerm, documentation of custom_block_glyphs, 20210814.
    _Claim("wezterm", "TERM_PROGRAM", "WezTerm", "sextants"),
    # VTE_VERSION is ten thousands of major, hundreds of minor: 0.80.1 is 8001. Read: VTE, src/minifont.cc draws
    # sextants and octants (U+1CD00 to U+1CDE5), and does not say since when. Octants: since 0.78 (second hand), here
    # from the next stable series on. Sextants: since 0.62 (from memory).
    _Claim("vte", "VTE_VERSION", "", "octants", least=8000),
    _Claim("vte", "VTE_VERSION", "", "sextants", least=6200),
    _Claim("vte", "VTE_VERSION", "", "quadrants"),
    _Claim("xterm", "XTERM_VERSION", "", "quadrants"),
    _Claim("konsole", "KONSOLE_VERSION", "", "quadrants"),
    _Claim("alacritty", "ALACRITTY_WINDOW_ID", "", "quadrants"),
    _Claim("windows", "WT_SESSION", "", "quadrants"),
    _Claim("another", "TERM_PROGRAM", "", "quadrants"),
)


def signs_for(choice: SignChoice, environment: Mapping[str, str]) -> SignSetName:
    """The set of signs to draw with: the chosen one, or with "auto" the finest that the terminal surely draws."""
    if choice != "auto":
        return choice
    term = environment.get("TERM", "")
    if term.startswith(_MULTIPLEXED_TERMS) or any(environment.get(name) for name in _MULTIPLEXERS):
        return DEFAULT_SIGNS
    found: dict[str, SignSetName] = {}
    spoken_for: set[str] = set()
    for claim in _CLAIMS:
        if claim.variable not in spoken_for and _holds(claim, environment):
            found.setdefault(claim.terminal, claim.signs)
            spoken_for.add(claim.variable)
    return next(iter(found.values())) if len(found) == 1 else DEFAULT_SIGNS


def _holds(claim: _Claim, environment: Mapping[str, str]) -> bool:
    value = environment.get(claim.variable, "")
    if not value or not value.startswith(claim.begins) or _version(environment) < claim.since:
        return False
    return not claim.least or (value.isdecimal() and int(value) >= claim.least)


def _version(environment: Mapping[str, str]) -> tuple[int, int]:
    """The version that TERM_PROGRAM names; 0.0 where it names none."""
    found = _VERSION.match(environment.get("TERM_PROGRAM_VERSION", ""))
    return (int(found[1]), int(found[2])) if found is not None else (0, 0)
