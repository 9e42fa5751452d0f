"""The base class of the apps of all roles: themes, exit codes, signals, and program errors."""

import os

from textual.app import App
from textual.events import Event, Key

from coach.model.option_names import SignChoice, ThemeName
from coach.screens.gc_tuning import restore_gc
from coach.screens.terminal import exit_if_terminal_gone
from coach.screens.terminal_signs import signs_for
from coach.screens.theme import THEMES
from coach.system import exit_on_signals

# What a page asks or says first, by the names of the widgets.
_ASKED = ("#blocks", "#large", ".lead", "#word", "#left")


class BaseApp(App[None]):
    """An app in one theme, with drawings of one set of signs. `failed` is the exception that ended it, if one did."""

    ENABLE_COMMAND_PALETTE = False
    _theme_is_chosen = False

    def __init__(self, theme: ThemeName, signs: SignChoice = "auto") -> None:
        # The terminal knows its own size. Exported by a shell, these are old and can leave a screen blank.
        for name in ("COLUMNS", "LINES"):
            os.environ.pop(name, None)
        super().__init__()
        self.failed: BaseException | None = None
        self.signs = signs_for(signs, os.environ)
        for each in THEMES.values():
            self.register_theme(each)
        # Before there is a screen: setting the theme later would style everything twice before the first one appears.
        self.set_reactive(App.theme, theme)
        self._theme_is_chosen = True
        self.stylesheet.set_variables(self.get_css_variables())
        for name, matches in (("-dark-mode", self.current_theme.dark), ("-light-mode", not self.current_theme.dark)):
            self.set_class(matches, name, update=False)

    def get_css_variables(self) -> dict[str, str]:
        """The colours of the theme; none before it is chosen, as working them out takes part of each start."""
        return super().get_css_variables() if self._theme_is_chosen else {}

    def on_ready(self) -> None:
        """Resume garbage collection once the first screen is on the terminal."""
        restore_gc()

    def place_cursor(self) -> None:
        """Put the terminal's cursor on what the page asks or says first.

        Screen readers and braille displays follow the cursor. It is moved at the end of an update of the screen, so
        one is asked for.
        """
        for selector in _ASKED:
            for widget in self.screen.query(selector):
                if widget.region and widget.region.offset != self.cursor_position:
                    self.cursor_position = widget.region.offset
                    widget.refresh()
                return

    def ignore_caps(self, event: Event) -> None:
        """Make a letter typed with Caps Lock the key that it is without it; not in a field, which has the focus."""
        if isinstance(event, Key) and self.focused is None and len(event.key) == 1:
            event.key = event.key.lower()

    def run_to_end(self) -> int:
        """Run until the app exits and return the exit code.

        An exception that ended the app is raised again here, after the terminal has been restored.
        """
        try:
            self.run()
        finally:
            exit_if_terminal_gone()
        if self.failed is not None:
            raise self.failed
        return self.return_code or 0

    def exit_on_signal(self) -> None:
        """On SIGTERM restore the terminal and exit; on SIGHUP end at once.

        Nothing is lost either way: everything that was on the screen is already on disk.
        """
        exit_on_signals(lambda code: self.exit(return_code=code))

    def _fatal_error(self) -> None:
        """Close without printing the exception: the command reports it without the client's data."""
        self.failed = self._exception
        self._close_messages_no_wait()
