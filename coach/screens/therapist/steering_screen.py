"""Steering on screen: what the therapist can say, and the words so far; a key opens a page to fill in."""

import tomllib
from pathlib import Path

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.events import Key
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Static

from coach.model.base import Name
from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.record import Record
from coach.overview.instruction_lines import instruction_lines
from coach.progression.apply_instructions import may_take_back
from coach.screens.therapist.instruction_forms import INSTRUCTION_FORMS, FormDefaults
from coach.screens.therapist.instruction_screen import Compare, InstructionScreen
from coach.screens.widgets.scrolling import scroll_by_key
from coach.screens.widgets.text import key_lines, static_text
from coach.session.admission.client_conditions import therapist_lines
from coach.session.phrases import exercise_line
from coach.store.client_store import ClientStore
from coach.store.clock import Clock
from coach.store.therapist.steering import ClientSnapshot, read_snapshot
from coach.toml.diagnostic import FileFault


class SteeringScreen(Screen[None]):
    """One client's steering. `compared` says what an instruction would change. Dismissed by escape.

    `exercise` is the name of one in the programme; None for the only one, or the first.
    """

    CSS_PATH = "steering.tcss"

    def __init__(
        self, client: Path, content: Content, clock: Clock, compared: Compare, exercise: Name | None = None
    ) -> None:
        super().__init__()
        self._exercise = exercise
        self._client, self._content, self._clock, self._compared = client, content, clock, compared
        self._messages = content.messages.therapist.steering
        self._seen: ClientSnapshot | None = None
        self._note = ""

    def compose(self) -> ComposeResult:
        """A line for each form, then the instructions signed so far."""
        yield static_text("", id="title")
        yield VerticalScroll(id="steering", can_focus=False)
        yield static_text("", id="keys")

    async def on_mount(self) -> None:
        """Read the files and show what is in them."""
        await self._show()

    async def on_key(self, event: Key) -> None:
        """Open a form, scroll, or go back."""
        event.stop()
        chosen = next((one for one in INSTRUCTION_FORMS if one.key == event.key), None)
        if event.key in ("escape", "q"):
            self.dismiss()
        elif not scroll_by_key(self.query_one("#steering", VerticalScroll), event.key) and chosen and self._seen:
            instruction = InstructionScreen(
                chosen, self._seen, self._defaults(self._seen), self._clock, self._compared
            )
            self.app.push_screen(instruction, self._after)

    async def _after(self, signed: str | None) -> None:
        self._note = signed or ""
        await self._show()

    async def _show(self) -> None:
        page = self.query_one("#steering", VerticalScroll)
        await page.remove_children()
        try:
            self._seen = read_snapshot(self._client, self._exercise)
        except FileFault as fault:
            self._seen = None
            await page.mount(static_text(str(fault), "line"))
            return
        title = fill(self._messages.title, {"profile": self._named(self._seen)})
        self.query_one("#title", Static).update(title)
        self.query_one("#keys", Static).update(self._key_line())
        await page.mount(*self._lines(self._seen))
        page.scroll_home(animate=False)

    def _named(self, seen: ClientSnapshot) -> str:
        """The client, and of several exercises the one that is steered."""
        folder, client = seen.folder, seen.folder.profile
        if len(folder.prescribed.names) == 1:
            return client.name
        return f"{client.name}, {exercise_line(folder.prescription.exercise, client.side, self._content)}"

    def _lines(self, seen: ClientSnapshot) -> list[Widget]:
        messages = self._messages
        lines: list[Widget] = [static_text(self._note, "note")] if self._note else []
        lines += [static_text(text, "sentence") for text in self._conditions(seen)]
        lines += [static_text(messages.choose, "line")]
        lines += [
            static_text(f"  {form.key}  {form.title_in(messages).name}", "listed") for form in INSTRUCTION_FORMS
        ]
        lines += [static_text(messages.history, "list-title")]
        newest_first = sorted(seen.folder.signed, key=lambda one: one.at, reverse=True)
        pending = [waits for one in seen.store(self._content).exercises for waits in one.progress.pending]
        records, prescription = self._records(seen), seen.folder.prescription
        for instruction in newest_first:
            first, *below = instruction_lines(instruction, prescription, records, messages, pending)
            lines += [
                static_text(first, "instruction-first"),
                *(static_text(text, "instruction-below") for text in below),
            ]
        return lines if newest_first else [*lines, static_text(messages.no_history)]

    def _conditions(self, seen: ClientSnapshot) -> tuple[str, ...]:
        """The client's conditions and irritability, as of today."""
        profile, limits = seen.folder.profile, self._content.limit_values(seen.folder.prescription.limits)
        today = self._clock().at.date()
        return therapist_lines(profile.condition, profile.irritability, self._content, limits, today)

    @staticmethod
    def _records(seen: ClientSnapshot) -> list[Record]:
        return list(seen.folder.records)

    def _defaults(self, seen: ClientSnapshot) -> FormDefaults:
        prescription, records = seen.folder.prescription, self._records(seen)
        revocable = [
            instruction.at.isoformat()
            for instruction in prescription.instructions_not_taken_back
            if may_take_back(instruction, prescription, records)
        ]
        position_deg = ClientStore(seen.folder, self._content).progress.position_deg
        return FormDefaults(
            tomllib.loads(seen.prescription_text),
            prescription,
            position_deg,
            self._content,
            tuple(reversed(revocable)),
            self._conditions(seen),
        )

    def _key_line(self) -> str:
        keys = self._messages.keys
        shown = [keys["open"], f"up down {keys['scroll']}", f"esc {keys['leave']}"]
        return key_lines(shown, self.app.size.width)
