"""What the apps of all roles share: the themes, how they are left from outside, and what broke them, if it did."""

import asyncio
import signal
import sys

from textual.app import App

from coach.model.theme_name import ThemeName
from coach.screens.gc_tuning import tidy_again
from coach.screens.terminal import leave_if_the_terminal_is_gone
from coach.screens.theme import THEMES


class PagesApp(App[None]):
    """Pages in one theme. `failed` is the fault of the program that broke it, if one did."""

    ENABLE_COMMAND_PALETTE = False

    def __init__(self, theme: ThemeName) -> None:
        super().__init__()
        self.failed: BaseException | None = None
        for each in THEMES.values():
            self.register_theme(each)
        # Before there is a screen: a theme set later would style everything twice before the first of them is seen.
        self.set_reactive(App.theme, theme)
        self.stylesheet.set_variables(self.get_css_variables())
        for mode, is_it in (("-dark-mode", self.current_theme.dark), ("-light-mode", not self.current_theme.dark)):
            self.set_class(is_it, mode, update=False)

    def on_ready(self) -> None:
        """The first screen is seen."""
        tidy_again()

    def go(self) -> int:
        """Run to the end; the exit code. What broke it is raised again, once the terminal is as it was."""
        try:
            self.run()
        finally:
            leave_if_the_terminal_is_gone()
        if self.failed is not None:
            raise self.failed
        return self.return_code or 0

    def leave_when_told(self) -> None:
        """Told to end, the terminal is put back; with the terminal gone there is nothing to put back.

        Either way nothing is lost: everything that was shown is on the disk.
        """
        if sys.platform == "win32":
            return  # event loops there take no signal handlers, and a closed console ends the process
        code = 128 + signal.SIGTERM
        asyncio.get_running_loop().add_signal_handler(signal.SIGTERM, lambda: self.exit(return_code=code))
        signal.signal(signal.SIGHUP, signal.SIG_DFL)

    def _fatal_error(self) -> None:
        """A fault of the program: close, and let the command say so without anything of the client's."""
        self.failed = self._exception
        self._close_messages_no_wait()
