"""The wait that takes the place of Textual's own: a key has done all it leads to when the pilot goes on."""

from time import thread_time

from textual.app import App


class Led(App[None]):
    """A key leads to something after the next drawing, that to work in a thread, and that to what is seen."""

    seen = ""

    def on_key(self) -> None:
        self.refresh()
        self.call_after_refresh(self.run_worker, self._work, thread=True)

    def _work(self) -> None:
        until_s = thread_time() + 0.02
        while thread_time() < until_s:
            pass
        self.call_from_thread(self.call_later, self._done)

    def _done(self) -> None:
        self.seen += "x"


async def test_after_a_key_everything_that_it_led_to_is_done() -> None:
    app = Led()
    async with app.run_test() as pilot:
        for times in range(1, 4):
            await pilot.press("x")
            assert app.seen == "x" * times
