"""Parts: what each stator, rotor and end bell is worth, which builds are likely best, and which swap to try next."""

from functools import partial

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical

from pitbench.app.lists.list_screen import ListScreen
from pitbench.app.lists.parts_table import (
    BESIDE_FROM,
    EVEN_FROM,
    PartLine,
    build_lines,
    builds_width,
    drawn_builds,
    part_lines,
    part_table,
    part_widths,
)
from pitbench.app.widgets.paint import Line, Lines, line
from pitbench.desk.answers import PartsAnswer
from pitbench.desk.classes import class_choices
from pitbench.desk.lists.motors import motor_named
from pitbench.desk.parts.parting import check_motors, parting_swap
from pitbench.desk.parts.worths import worths
from pitbench.records.fields import PART_KINDS
from pitbench.records.keys import key_for
from pitbench.words.parts import KINDS, headline, known_words, more_builds_words, worth_words

LEAST_PARTS, LEAST_BUILDS = 4, 3
"""Lines that stay where there is little room."""
FOR_A_MESSAGE = 3
"""Lines left free of builds that stand beside the list, and cannot give way."""


class PartsScreen(ListScreen):
    """The parts of one kind; Tab goes through the kinds, then to the next class."""

    SHOWN = "parts"
    EXPLAINS = "worth of a part"
    CSS = """
    #beside, #parts { height: auto; }
    #builds { margin-top: 1; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._answer: PartsAnswer | None = None
        self._class: str | None = None
        self._kind, self._begun = "rotor", False
        self._builds: list[Line] = []
        self._tight = False

    def compose_list(self) -> ComposeResult:
        with Horizontal(id="beside"):
            with Vertical(id="parts"):
                yield from super().compose_list()
            yield Lines(id="builds")

    # asking

    def ask(self) -> None:
        if self._class not in self.class_choices():
            self._class = None  # its class is gone: that of the newest run then
        key = ("parts", self.pit.answers.ranking_key(self._class)[1])
        found = self.asking.answer_to(key, partial(worths, class_name=str(key[1])), apart=True)
        if found is not None:
            self._take(found.value)
        elif self._answer is None:
            self.pane.say_waiting(key)

    def _take(self, answer: PartsAnswer) -> None:
        """Show an answer; the very first one with the mark on the part to try."""
        moves = answer.advice.moves if answer.advice is not None and not self._begun else []
        self._answer, self._begun = answer, True
        if moves:
            self._kind = moves[0].kind
        self._show(answer)
        if moves:
            self.pane.list.put_mark(moves[0].part)

    # showing

    def _show(self, answer: PartsAnswer) -> None:
        first, *rest = headline(answer)
        any_parts = bool(answer.swaps.parts)
        self.pane.say_close(first, *rest, *([] if any_parts else [f"{key_for('add-motor')} writes one down."]))
        self.pane.footer(self._footer() if any_parts else self.FIRST_FOOTER)
        width, beside = self.size.width, self.size.width >= BESIDE_FROM
        even = not beside or width >= EVEN_FROM
        lines = part_lines(answer, self._kind)
        room = width - part_widths(self._kind, lines)[-1]
        aside = builds_width(build_lines(answer, self.size.height)[0], room, even=even) if beside else 0
        table, taken = part_table(self._kind, lines, width - aside)
        rows = [table.row(each) for each in lines]
        self.query_one("#parts").styles.width = taken if beside else width
        self.pane.show([each.worth.part for each in lines], rows.__getitem__, table.heads() if lines else [])
        shown, left_out = build_lines(answer, self._room(answer, len(lines), beside=beside))
        self._builds = drawn_builds(shown, aside if beside else width, beside=beside, even=even) if shown else []
        if left_out:
            self._builds.append(line((f"   {more_builds_words(left_out)}", "quiet")))
        self.query_one("#builds", Lines).display = beside
        self.query_one("#builds", Lines).show(self._builds)
        self.mark_moved()

    def mark_moved(self) -> None:
        """What stands below: the builds, unless they stand beside, and the notes of the marked part."""
        if self._answer is not None:
            builds = self._builds if self.size.width < BESIDE_FROM else []
            gap: list[Line] = [()] if builds and not self._tight else []
            self.pane.below([*builds, *gap, *self._notes(self._answer)])

    def _room(self, answer: PartsAnswer, parts: int, *, beside: bool) -> int:
        """How many builds there is room for, which stand close to the notes where it is little."""
        words, notes = len(self.query_one("#words", Lines).lines), len(self._notes(answer))
        rows = self.size.height - self.FRAME_LINES - (words + 1) - 3 - 1 - notes
        left = rows - FOR_A_MESSAGE if beside else rows - max(LEAST_PARTS, parts) - 3
        self._tight = left < LEAST_BUILDS
        return max(LEAST_BUILDS, left)

    def _notes(self, answer: PartsAnswer) -> list[Line]:
        """What is known by no swap; where there is room, all that the marked part is worth."""
        marked = self._marked()
        swap = parting_swap(answer, self._kind, check_motors(self.pit.snapshot))
        told = [known_words(answer, self._kind, swap)]
        if marked is not None and self.size.height >= 30:
            told.insert(0, worth_words(marked.worth, marked.power))
        rows: list[Line] = []
        for text in filter(None, told):
            rows += [*([()] if rows else []), *self.pane.indented(text)]
        return rows

    def _footer(self) -> tuple[str, ...]:
        at = PART_KINDS.index(self._kind) + 1
        over = at == len(PART_KINDS) and len(self.class_choices()) > 1
        following = "next class" if over else f"{KINDS[PART_KINDS[at % len(PART_KINDS)]]}s"
        swap, history = "add-setup-entry=swap it", "open-record=its history"
        return (f"next-part={following}", swap, history, "add-bench-run", "show-keys")

    # keys

    def class_choices(self) -> list[str]:
        return class_choices(self.pit.snapshot) if self.pit.logbook is not None else []

    def _marked(self) -> PartLine | None:
        """The part the mark stands on."""
        if self._answer is None:
            return None
        lines, key = part_lines(self._answer, self._kind), self.pane.key
        return next((each for each in lines if each.worth.part == key), lines[0] if lines else None)

    def marked_motor(self) -> str | None:
        marked = self._marked()
        return motor_named(self.pit.snapshot, marked.worth.in_) if marked else None

    def action_add_setup_entry(self) -> None:
        """A swap is a change: the marked part goes into another motor, the one named on top where that is advised."""
        marked = self._marked()
        if marked is None:
            super().action_add_setup_entry()
            return
        part, advice = marked.worth.part, self._answer.advice if self._answer else None
        moves = {(move.kind, move.part): advice.motor for move in advice.moves} if advice else {}
        motor = motor_named(self.pit.snapshot, moves.get((self._kind, part)))
        self.pit.routes.open_form("swap-form", motor, self._kind, part)

    def action_open_record(self) -> None:
        marked = self._marked()
        if marked is not None:
            self.pit.routes.open("part-page", self._kind, marked.worth.part)

    def action_next_part(self) -> None:
        self._step_kind(1)

    def action_previous_part(self) -> None:
        self._step_kind(-1)

    def _step_kind(self, way: int) -> None:
        """The next kind; past the last one that of the next class, where there are several."""
        if self._answer is None:
            return
        at = PART_KINDS.index(self._kind) + way
        self._kind = PART_KINDS[at % len(PART_KINDS)]
        classes = self.class_choices()
        if 0 <= at < len(PART_KINDS) or len(classes) < 2:
            self._show(self._answer)
            return
        now = str(self.pit.answers.ranking_key(self._class)[1])
        self._class = classes[(classes.index(now) + way) % len(classes)]
        self._answer, self._builds = None, []  # a key means the parts of the other class from now on
        self.query_one("#builds", Lines).show([])
        self.asking.again()
