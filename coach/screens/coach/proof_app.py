"""The client's screens while content is being edited, updated at every save, with any faults next to them."""

import asyncio
from collections.abc import Callable
from pathlib import Path
from textwrap import wrap
from typing import ClassVar, TypeVar

from msgspec.structs import replace
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container, ScrollableContainer, Vertical, VerticalScroll
from textual.content import Content as StyledText
from textual.events import Event, Resize
from textual.widgets import Static

from coach.authoring.draft import Draft, EditedFolder, read_draft
from coach.model.message_format import fill
from coach.model.messages.coach import ProofMessages
from coach.model.no_session import NoSession
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.screens.base_app import BaseApp
from coach.screens.client.client_frame import BORDER, ClientFrame
from coach.screens.client.key_help import more_lines
from coach.screens.client.page_types import MoreLines, TextPage
from coach.screens.coach.proof import Proof, ProofSelection, make_proof
from coach.screens.coach.proof_keys import PROOF_BINDINGS
from coach.screens.theme import next_theme
from coach.screens.widgets.line_list import LineList
from coach.screens.widgets.page_head import PageHead, key_bar
from coach.screens.widgets.scrolling import SCROLL_KEYS, scroll_by_key
from coach.screens.widgets.text import static_text
from coach.store.clock import Clock
from coach.toml.diagnostic import Diagnostic, render, whole_file

Choice = TypeVar("Choice")

POLLS_PER_SECOND = 20
SIZES = ((60, 20), (80, 24), (120, 40))
# The list of screens stands beside the frame if there is room for lines of this length.
_LIST_COLUMNS = 36
# The faults stand below the frame: whole, if there are rows left for a few lines of them, else over a part of it.
_FAULT_EDGES, _GUTTER, _FAULT_ROWS = 6, 8, 6
_KEY_ROWS = 1
_HEAD_ROWS, _LEAST_WITH_HEAD = 4, 32
_CHANGED, _SAME = "* ", "  "
_MOVING, _SCROLLING = "shift+arrows", "pgup pgdn"


class ProofApp(BaseApp):
    """The view of one content folder, with the data of one client."""

    CSS_PATH: ClassVar[list[str | Path]] = ["../client/session.tcss", "../widgets/page_head.tcss", "proof.tcss"]  # type: ignore[assignment]
    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(one.key, one.action, show=False) for one in PROOF_BINDINGS),
        *(Binding(key, f"scroll('{key}')", show=False) for key in SCROLL_KEYS),
        *(Binding(f"shift+{way}", f"move('{way}')", show=False) for way in ("up", "down", "left", "right")),
        Binding("ctrl+c", "leave", show=False, priority=True),
        Binding("ctrl+q", "leave", show=False, priority=True),
    ]

    def __init__(
        self,
        edited: EditedFolder,
        profile: Profile,
        prescription: Prescription,
        messages_in: Callable[[str], ProofMessages],
        clock: Clock,
    ) -> None:
        super().__init__(profile.theme, profile.signs)
        self._edited, self._profile, self._prescription = edited, profile, prescription
        self._messages_in, self._clock = messages_in, clock
        self._fingerprint = edited.fingerprint()
        self._unsettled = False
        self._draft = Draft()
        self._proof: Proof | None = None
        self._before: Proof | None = None
        self._selection = ProofSelection(prescription.exercise, prescription.positions[0], profile.language)
        self._seen, self._number = "", 0
        self._chosen_size: tuple[int, int] | None = None
        self._changed: tuple[str, ...] = ()
        self._as_of = clock().at
        self._reading = asyncio.Lock()
        self.checked = False  # whether the faults of the last reading are all on the screen

    @property
    def _messages(self) -> ProofMessages:
        """The messages around the screen, in the selected language."""
        return self._messages_in(self._selection.language)

    def compose(self) -> ComposeResult:
        """The head, the client's screen in its frame, the faults, and the keys."""
        yield PageHead()
        with Container(id="proof"):
            with ScrollableContainer(id="frame-area", can_focus=False):
                yield ClientFrame()
            with VerticalScroll(id="faults", can_focus=False):
                yield static_text("", id="fault-text")
            with Vertical(id="screens"):
                yield LineList(id="list")
        yield static_text("", id="proof-keys")

    async def on_event(self, event: Event) -> None:
        """As in every app, with Caps Lock or without."""
        self.ignore_caps(event)
        await super().on_event(event)

    async def on_mount(self) -> None:
        """Read the folder, then poll it often enough for a save to show at once."""
        self.exit_on_signal()
        await self._read(settled=True)
        self.set_interval(1 / POLLS_PER_SECOND, self.poll)

    async def poll(self) -> None:
        """Read the files if they changed; show faults once the files are stable, as an editor may be writing."""
        fingerprint = self._edited.fingerprint()
        if fingerprint != self._fingerprint:
            self._fingerprint = fingerprint
            await self._read(settled=False)
        elif self._unsettled:
            await self._read(settled=True)

    async def _read(self, settled: bool) -> None:
        async with self._reading:
            draft = read_draft(self._edited, self._selection.language, self._draft)
            faults = draft.faults
            if draft.content is not None and draft.valid:
                faults = self._seen_with(draft)
            self._unsettled = bool(faults) and not settled
            if self._unsettled:
                return
            self._draft, self.checked = replace(draft, faults=faults), False
            await self._draw()
            self.call_after_refresh(self._check, self._fingerprint)

    def _seen_with(self, draft: Draft) -> tuple[Diagnostic, ...]:
        """Make the screens of a complete draft; return the fault that prevents it, if any."""
        assert draft.content is not None
        before, place = self._proof, self._selection.within(draft.content)
        try:
            proof = make_proof(draft.content, place, self._profile, self._prescription, self._clock().at)
            names = proof.names
            name = self._seen if self._seen in names else names[min(self._number, len(names) - 1)]
            proof.page(name)
        except NoSession as refused:
            return (whole_file(self._edited.content, str(refused)),)
        except Exception as error:  # inconsistent files can raise anything; the last good view stays
            return (whole_file(self._edited.content, f"{self._messages.not_made} ({type(error).__name__}: {error})"),)
        self._proof, self._selection, self._as_of = proof, place, self._clock().at
        self._seen, self._number = name, names.index(name)
        self._before = before
        return ()

    async def _check(self, fingerprint: str) -> None:
        """After drawing: check all files, and find the other screens that the save with this fingerprint changed."""
        faults = await asyncio.to_thread(self._edited.check)
        if fingerprint != self._edited.fingerprint() or not self.is_running:
            return  # saved in the meantime: half a file may have been checked, and the next poll reads again
        self._draft = replace(self._draft, faults=faults or self._draft.faults)
        if self._proof is not None and self._before is not None:
            try:
                self._changed = self._proof.changed_since(self._before)
            except Exception:  # a screen that cannot be made is among the faults
                self._changed = ()
            self._before = None
        self.checked = True
        self._update_text()

    async def _draw(self) -> None:
        """The screen in its frame, at the size chosen."""
        frame, size = self.query_one(ClientFrame), self._frame_size
        self._update_text()
        proof = self._proof
        if proof is None:
            await frame.show(TextPage("", self._messages.never), [], MoreLines(), size)
            return
        more = more_lines(proof.content.messages.client.keys)
        await frame.show(proof.page(self._seen), proof.keys(self._seen), more, size)

    def _update_text(self) -> None:
        """Update all text around the screen: which one it is, whether the files are valid, and the faults."""
        messages, faults, size = self._messages, self._draft.faults, self._frame_size
        place = {"exercise": self._selection.exercise, "position": self._selection.position}
        shown = {"number": self._number + 1, "all": len(self._proof.names) if self._proof else 0, "name": self._seen}
        sizes = {"columns": size[0], "rows": size[1], "language": self._selection.language}
        time = {"time": self._as_of.strftime("%H:%M:%S")}
        counts = {"faults": len(faults), "screens": len(self._changed)}
        line = messages.broken if faults else messages.changed if self._changed else messages.right
        around = fill(messages.place, {**shown, **place, **sizes}), fill(line, {**time, **counts})
        self.query_one(ClientFrame).set_border_text(*(around if self._proof is not None else ("", "")))
        head_rows = self._has_head * _HEAD_ROWS
        area = self.query_one("#proof")
        area.set_class(not faults and self.size.width - size[0] - BORDER >= _LIST_COLUMNS, "beside-frame")
        area.set_class(bool(faults), "faulty")
        area.set_class(self.size.height - head_rows - _KEY_ROWS - size[1] - BORDER >= _FAULT_ROWS, "room-below")
        columns = self.size.width - _FAULT_EDGES - _GUTTER
        names = list(self._proof.screens) if self._proof is not None else []
        marked = [f"{_CHANGED if name in self._changed else _SAME}{name}" for name in names]
        self.query_one(LineList).show(marked, self._number, self._messages)
        told = StyledText("\n\n".join(self._rendered(fault, columns) for fault in faults))
        without_head = faults and not self._has_head
        mend = (
            [StyledText.styled("\n".join(wrap(messages.now["save"], max(columns, 1))), "bold")]
            if without_head
            else []
        )
        self.query_one("#fault-text", Static).update(StyledText("\n\n").join([*mend, told]))
        keys = [
            (_KEY_SYMBOLS.get(one.key, one.key), messages.keys[one.word])
            for one in PROOF_BINDINGS
            if self._has_effect(one.word)
        ]
        room = self.size.width - BORDER, self.size.height - head_rows - _KEY_ROWS - BORDER
        if size[0] > room[0] or size[1] > room[1]:
            keys.insert(-1, (_MOVING, messages.keys["move"]))
        if faults:
            keys.insert(-1, (_SCROLLING, messages.keys["faults"]))
        head = self.query_one(PageHead)
        head.display = self._has_head
        bar = key_bar(keys, self.size.width, has_first=not self._has_head and not faults)
        self.query_one("#proof-keys", Static).update(bar)
        head.name_page(fill(messages.title, {"folder": self._edited.folder.name}), messages.purpose)
        changed = fill(messages.now["changed"], counts)
        head.ask_for(
            *(
                ("", self._named(faults[0]))
                if faults
                else ("c", changed)
                if self._changed
                else ("→", messages.now["next"])
            )
        )

    def _named(self, fault: Diagnostic) -> str:
        """The fault in one line: where it is, what is wrong, and what to do."""
        path = self._short_path(fault)
        place = f"{path}:{fault.line}" if fault.line else str(path)
        what, fix = (
            text.split("\n")[0].rstrip(".") for text in (fault.what, fault.fix or self._messages.now["save"])
        )
        return fill(self._messages.now["mend"], {"place": place, "what": what, "fix": fix})

    def _rendered(self, fault: Diagnostic, columns: int) -> str:
        return render(replace(fault, path=self._short_path(fault)), max(columns, 20))

    def _short_path(self, fault: Diagnostic) -> Path:
        inside, path = self._edited.folder.resolve(), fault.path.resolve()
        return path.relative_to(inside) if path.is_relative_to(inside) and path != inside else fault.path

    def _has_effect(self, word: str) -> bool:
        """Whether a key has any effect now."""
        content = self._draft.content
        choices = {
            "changed": len(self._changed),
            "exercise": len(content.exercises) - 1 if content else 0,
            "language": len(self._edited.languages()) - 1,
        }
        return choices.get(word, 1) > 0

    @property
    def _has_head(self) -> bool:
        """Whether there are rows to spare above the frame."""
        return self.size.height >= _LEAST_WITH_HEAD

    @property
    def _frame_size(self) -> tuple[int, int]:
        """The chosen size; without a choice the largest that fits in the window, or else the smallest."""
        if self._chosen_size is not None:
            return self._chosen_size
        columns, rows = self.size.width - BORDER, self.size.height - BORDER - _KEY_ROWS - self._has_head * _HEAD_ROWS
        return next((one for one in reversed(SIZES) if one[0] <= columns and one[1] <= rows), SIZES[0])

    async def on_resize(self, _: Resize) -> None:
        """Redraw for the new size."""
        self.call_later(self._draw)

    async def _go(self, by: int) -> None:
        if self._proof is not None:
            await self._go_to(self._proof.names[(self._number + by) % len(self._proof.names)])

    async def _go_to(self, name: str) -> None:
        if self._proof is not None:
            self._seen, self._number = name, self._proof.names.index(name)
            await self._draw()

    async def _select(self, selection: ProofSelection) -> None:
        self._selection, self._changed = selection, ()
        await self._read(settled=True)

    async def action_following(self) -> None:
        """The next screen."""
        await self._go(1)

    async def action_before(self) -> None:
        """The screen before."""
        await self._go(-1)

    async def action_part(self) -> None:
        """The first screen of the next part."""
        if self._proof is not None:
            names = self._proof.names
            part = _part_of(self._seen)
            later = (name for name in (*names[self._number :], *names) if _part_of(name) != part)
            await self._go_to(next(later, self._seen))

    async def action_changed(self) -> None:
        """The next screen that the last save changed."""
        if self._proof is None or not self._changed:
            return
        names = self._proof.names
        later = [name for name in self._changed if names.index(name) > self._number]
        await self._go_to((later or list(self._changed))[0])

    async def action_position(self) -> None:
        """The next position."""
        if self._draft.content is not None:
            names = self._draft.content.exercises[self._selection.exercise].position_names
            await self._select(replace(self._selection, position=_after(self._selection.position, names)))

    async def action_exercise(self) -> None:
        """The next exercise."""
        if self._draft.content is not None:
            exercises = tuple(self._draft.content.exercises)
            await self._select(replace(self._selection, exercise=_after(self._selection.exercise, exercises)))

    async def action_language(self) -> None:
        """The next language."""
        await self._select(
            replace(self._selection, language=_after(self._selection.language, self._edited.languages()))
        )

    async def action_size(self) -> None:
        """The next size of the client's terminal."""
        self._chosen_size = _after(self._frame_size, SIZES)
        await self._draw()

    async def action_theme(self) -> None:
        """The next theme."""
        self.theme = next_theme(self.theme)

    async def action_leave(self) -> None:
        """Close without a question: there is nothing to save."""
        self.exit()

    def action_scroll(self, key: str) -> None:
        """Scroll the client's page, or with page keys the list of faults if there is one."""
        if key.startswith("page") and self._draft.faults:
            scroll_by_key(self.query_one("#faults", VerticalScroll), key)
        else:
            self.query_one(ClientFrame).scroll_by_key(key)

    def action_move(self, way: str) -> None:
        """Scroll the frame itself, if it is larger than the window."""
        area = self.query_one("#frame-area", ScrollableContainer)
        ways = {"up": (0, -4), "down": (0, 4), "left": (-8, 0), "right": (8, 0)}
        area.scroll_relative(*ways[way], animate=False)


_PARTS = {"teach": "form", "cue": "form", "praise": "form", "learned": "form", "end": "end", "rule": "rule"}


def _part_of(name: str) -> str:
    """The part of the proof that a screen belongs to: the session, its form, its ends, or a file of messages."""
    first = name.partition(".")[0]
    return name.rpartition(".")[0] if first == "messages" else _PARTS.get(first, "session")


_KEY_SYMBOLS = {"right": "→", "left": "←"}


def _after(current: Choice, choices: tuple[Choice, ...]) -> Choice:
    """The choice after this one; the first after the last, or if this is not a choice."""
    return choices[(choices.index(current) + 1) % len(choices)] if current in choices else choices[0]
