"""Steering on screen: the forms as a list, and the instructions so far; a key opens a form to fill in."""

import tomllib
from pathlib import Path

from textual.app import ComposeResult
from textual.containers import Container, Vertical, VerticalScroll
from textual.content import Content as StyledText
from textual.events import Key, Resize
from textual.screen import Screen
from textual.widgets import Static

from coach.model.base import Name
from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.record import Record
from coach.overview.instruction_lines import instruction_due, instruction_lines
from coach.progression.apply_instructions import may_take_back
from coach.screens.client.client_frame import ClientFrame
from coach.screens.therapist.instruction_forms import INSTRUCTION_FORMS, FormDefaults, InstructionForm, form_of
from coach.screens.therapist.instruction_screen import Compare, InstructionScreen
from coach.screens.widgets.line_list import CHOOSING_KEYS, LineList
from coach.screens.widgets.page_head import PageHead, key_bar
from coach.screens.widgets.page_keys import takes
from coach.screens.widgets.scrolling import DETAIL_KEYS, scroll_by_key, when_longer
from coach.screens.widgets.text import static_text
from coach.screens.widgets.wide import is_wide
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
        """The forms as a list; beside or below it what is signed so far, and what the client sees."""
        yield PageHead()
        yield static_text("", id="status")
        yield static_text("", id="conditions")
        yield static_text("", id="keys")
        with Container(id="split", classes="forms"):
            with Vertical(id="listing"):
                yield LineList(id="list")
            with Vertical(id="beside"):
                with VerticalScroll(id="detail", can_focus=False):
                    yield static_text("", id="told")
                yield ClientFrame()

    def on_mount(self) -> None:
        """Read the files and show what is in them, with what is due chosen."""
        when_longer(self, self.query_one("#detail", VerticalScroll), self._name_keys)
        self._show()
        if self._seen is not None:
            self.query_one(LineList).choose(INSTRUCTION_FORMS.index(self._due(self._seen)))
            self._show_told()

    async def on_resize(self, _: Resize) -> None:
        """Lay the page out for the new width."""
        self.query_one("#split").set_class(is_wide(self), "wide")
        self._name_keys()
        await self._show_page()

    async def _show_page(self) -> None:
        """In a wide window, the first page of the client's next session as it is now."""
        frame, now = self.query_one(ClientFrame), self._clock().at
        plan = (
            self._seen.store(self._content).admission(now).plan if self._seen is not None and is_wide(self) else None
        )
        frame.display = plan is not None
        if plan is not None:
            frame.set_border_text(self._messages.page_now, "")
            await frame.show_first_page(plan, now)

    def on_key(self, event: Key) -> None:
        """Choose or open a form, scroll, or go back."""
        if not takes(self, event):
            return
        forms = self.query_one(LineList)
        chosen = next((one for one in INSTRUCTION_FORMS if one.key == event.key), None)
        if event.key in ("escape", "q"):
            self.dismiss()
        elif event.key in DETAIL_KEYS:
            scroll_by_key(self.query_one("#detail", VerticalScroll), DETAIL_KEYS[event.key])
        elif event.key in CHOOSING_KEYS:
            forms.move(event.key)
            self._show_told()
        elif self._seen is not None and (chosen is not None or event.key == "enter"):
            form = chosen or INSTRUCTION_FORMS[forms.at]
            forms.choose(INSTRUCTION_FORMS.index(form))
            instruction = InstructionScreen(form, self._seen, self._defaults(self._seen), self._clock, self._compared)
            self.app.push_screen(instruction, self._after)

    async def _after(self, signed: str | None) -> None:
        self._note = signed or ""
        self._show()
        await self._show_page()

    def _show(self) -> None:
        told = self.query_one("#told", Static)
        try:
            self._seen = read_snapshot(self._client, self._exercise)
        except FileFault as fault:
            self._seen = None
            told.update(str(fault))
            return
        title = fill(self._messages.title, {"profile": self._named(self._seen)})
        purpose = self._content.messages.therapist.pages.purpose["steering"]
        self.query_one(PageHead).name_page(title, purpose)
        self.query_one("#status", Static).update(self._note)
        self.query_one("#status").display = bool(self._note)
        conditions = self._conditions(self._seen)
        self.query_one("#conditions", Static).update("\n".join(conditions))
        self.query_one("#conditions").display = bool(conditions)
        forms = [f"{form.key}  {form.title_in(self._messages).name}" for form in INSTRUCTION_FORMS]
        heads = [self._messages.group[form.group] for form in INSTRUCTION_FORMS]
        words, listed = self._content.messages.therapist.client_screen, self.query_one(LineList)
        listed.show(forms, listed.at, words, heads)
        self._show_told()

    def _named(self, seen: ClientSnapshot) -> str:
        """The client, and of several exercises the one that is steered."""
        folder, client = seen.folder, seen.folder.profile
        if len(folder.prescribed.names) == 1:
            return client.name
        return f"{client.name}, {exercise_line(folder.prescription.exercise, client.side, self._content)}"

    def _show_told(self) -> None:
        if self._seen is not None:
            form = INSTRUCTION_FORMS[self.query_one(LineList).at].title_in(self._messages)
            opens = fill(self._content.messages.therapist.pages.now["form"], {"instruction": form.name})
            self.query_one(PageHead).ask_for("enter", opens)
            how = StyledText("\n").join([StyledText.styled(form.name, "bold"), StyledText(form.how)])
            self.query_one("#told", Static).update(StyledText("\n\n").join([how, *self._told(self._seen)]))
            self.query_one("#detail", VerticalScroll).scroll_home(animate=False)

    def _told(self, seen: ClientSnapshot) -> list[StyledText]:
        """The instructions so far, the newest first."""
        messages = self._messages
        parts = [StyledText.styled(messages.history, "$secondary")]
        newest_first = sorted(seen.folder.signed, key=lambda one: one.at, reverse=True)
        pending = [waits for one in seen.store(self._content).exercises for waits in one.progress.pending]
        records, prescription = self._records(seen), seen.folder.prescription
        for instruction in newest_first:
            first, *below = instruction_lines(instruction, prescription, records, self._content.messages, pending)
            parts.append(StyledText("\n").join([StyledText.styled(first, "bold"), *map(StyledText, below)]))
        return parts if newest_first else [*parts, StyledText(messages.no_history)]

    def _due(self, seen: ClientSnapshot) -> InstructionForm:
        """The form of what is signed next."""
        store, now = seen.store(self._content), self._clock().at
        dates = [one.at for one in seen.folder.signed]
        to_come = store.latest_date_after(now)
        return form_of(instruction_due(store.progress.status, dates if to_come is None else [*dates, to_come], now))

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
        position = ClientStore(seen.folder, self._content).progress.position
        return FormDefaults(
            tomllib.loads(seen.prescription_text),
            prescription,
            position,
            self._content,
            tuple(reversed(revocable)),
            self._conditions(seen),
        )

    def _name_keys(self) -> None:
        keys, detail = self._messages.keys, self.query_one("#detail", VerticalScroll)
        scroll = [(" ".join(DETAIL_KEYS), keys["scroll"])] if detail.show_vertical_scrollbar else []
        named = ((keys["letter"], keys["open"]), ("up down", keys["choose"]), *scroll, ("esc", keys["leave"]))
        self.query_one("#keys", Static).update(key_bar(named, self.size.width))
