"""Gearing: the sets I own by rollout, legal or not, one tooth up or down, nearest to a wanted rollout."""

from collections.abc import Callable
from typing import ClassVar

from pitbench.app.actions import GEARING, bindings_for
from pitbench.app.dialogs.ask_text import AskText
from pitbench.app.lists.plan_keys import PlanKeys
from pitbench.app.widgets.paint import Line, Span, fitted, line, wrapped
from pitbench.app.widgets.table import Cell, Column, Table, number
from pitbench.desk.entry.gear_entry import GearLine, gear_lines
from pitbench.desk.entry.run_entry import put_in_bin
from pitbench.desk.lists.gear_plan import GearPlan, first_gearing, geared, stepped_gearing
from pitbench.desk.lists.gear_sets import Gearing, SetLine, find_set, gearing, read_rollout
from pitbench.records.keys import key_for, with_keys
from pitbench.records.refusal import Refusal
from pitbench.records.spoken import counted_words, dp_text, module_text
from pitbench.records.units import Units
from pitbench.words.gearing import broken_words, found_words, gearing_words, tooth_words, unmated_words

GEAR_COLUMNS: tuple[Column[GearLine], ...] = (
    Column("kind", 8, lambda g: g.kind),
    Column("teeth", 6, lambda g: g.teeth, "right"),
    Column("DP", 6, lambda g: g.dp, "right"),
    Column("module", 7, lambda g: g.module, "right"),
    Column("note", 20, lambda g: g.note, grow=True, role="quiet"),
)
BROKEN = {
    (False, False): "",
    (True, False): "! too long",
    (False, True): "! FDR low",
    (True, True): "! long, FDR",
}
"""What of the rules a set breaks, by (rollout, FDR)."""
NO_GEARS = "No gears yet: {add-gears} writes down pinions and spurs, several at once."
PLAN_WIDTHS = (19, 10, 10, 11, 10, 9, 10)


def set_columns(units: Units, key_here: str | None) -> tuple[Column[SetLine], ...]:
    """key_here: the set that is planned."""

    def teeth(each: SetLine, count: int) -> Cell:
        return (str(count), "accent" if each.key == key_here else "text")

    def to_next(each: SetLine) -> str:
        return "" if each.to_next_mm is None else units.short("max_rollout_mm", each.to_next_mm, 2)

    def pitch(each: SetLine, text: Callable[[float], str]) -> str:
        return "·" if each.gears.module_mm is None else text(each.gears.module_mm)

    def rules(each: SetLine) -> Cell:
        broken = BROKEN[each.gears.over_rollout is not None, each.gears.under_fdr is not None]
        return (broken, "bad") if broken else ("the plan" if each.key == key_here else "", "quiet")

    return (
        Column("pinion|", 6, lambda s: teeth(s, s.gears.pinion), "right"),
        Column("spur|", 5, lambda s: teeth(s, s.gears.spur), "right"),
        Column("FDR|", 6, lambda s: f"{s.gears.fdr:.3f}", "right"),
        Column(f"rollout|{units.length}", 7, lambda s: units.short("max_rollout_mm", s.gears.rollout_mm), "right"),
        Column(f"to next|{units.length}", 7, to_next, "right", role="quiet"),
        Column("pitch|DP", 5, lambda s: pitch(s, dp_text), "right"),
        Column("module|mm", 6, lambda s: pitch(s, module_text), "right"),
        Column("centre|mm", 6, lambda s: number(s.gears.centre_mm, 2), "right"),
        Column("rules|", 10, rules, grow=True),
    )


class GearingScreen(PlanKeys):
    """The sets, or with Tab the gears they are made of."""

    SHOWN = "gearing"
    EXPLAINS = "rollout"
    FOOTER = (
        "find-rollout=rollout",
        "open-record=plan it",
        "edit-record=type it",
        "add-gears=gears",
        "next-part=own gears",
        "show-keys",
    )
    GEARS_FOOTER = ("add-gears=gears", "edit-record", "delete-record", "undo-change", "next-part=the sets", "show-keys")
    BINDINGS: ClassVar = bindings_for(GEARING)

    _plan: GearPlan | None = None
    _began: GearPlan | None = None
    _answer: Gearing | None = None
    _gears: bool = False

    # asking

    def ask(self) -> None:
        snapshot = self.pit.snapshot
        plan = first_gearing(snapshot)
        if self._plan is None or self._began != plan:  # another run was written down: the plan begins there
            self._began = plan
            self.take_plan(plan, self._gears)
        else:
            self._show()

    def _show(self) -> None:
        if self._plan is None:
            return
        self._answer = gearing(self.pit.snapshot, self._plan)
        if self._gears:
            self._show_gears()
            return
        self.pane.say(*gearing_words(self._answer, self.units))
        table = Table(set_columns(self.units, self._answer.key_here), self.size.width)
        rows = [table.row(each) for each in self._answer.sets]
        heads = [*self._plan_lines(self._answer), (), *table.heads()]
        self.pane.show([each.key for each in self._answer.sets], rows.__getitem__, heads)
        self._show_detail()
        self.pane.footer(self.FOOTER)

    def _plan_lines(self, answer: Gearing) -> list[Line]:
        """What is planned, as a small table, and the keys that change it."""
        plan, units, here = answer.plan, self.units, answer.here
        tyre = f"{units.short('tyre_diameter_mm', plan.tyre_diameter_mm)} {units.length}"
        rollout = f"{units.short('max_rollout_mm', here.rollout_mm)} {units.length}"
        values = (f"{here.pinion}", f"{here.spur}", tyre, f"{plan.internal_ratio:g}", f"{here.fdr:.3f}", rollout)
        broken = (False, False, False, False, here.under_fdr is not None, here.over_rollout is not None)
        marked: list[Span] = [
            (f"! {text}", "bad") if bad else (text, "strong") for text, bad in zip(values, broken, strict=True)
        ]
        steps: list[Span] = [(self.step_keys(name), "accent") for name in ("pinion", "spur", "tyre")]
        heads: list[Span] = [(text, "quiet") for text in ("pinion", "spur", "tyre", "internal", "FDR", "rollout")]
        first, *others = PLAN_WIDTHS

        def cells(title: str, spans: list[Span]) -> Line:
            placed = [(fitted(text, width, "right"), role) for (text, role), width in zip(spans, others, strict=False)]
            return ((fitted(title, first), "strong"), *placed)

        return [
            cells(f"   PLAN for {plan.motor}" if plan.motor else "   PLAN", heads),
            cells("", marked),
            cells("", steps),
        ]

    def _show_detail(self) -> None:
        """What one tooth does, and what is wrong with the marked set: two lines or more."""
        marked = self._marked_set()
        if self._plan is None or self._answer is None or marked is None:
            self.pane.below()
            return
        width = max(20, self.size.width - 4)
        teeth = self.pane.indented(tooth_words(self._answer, self.units))
        why = broken_words(marked.gears, self._plan, self.units)
        said = [line((" ! " if nth == 0 else "   ", "bad"), row) for nth, row in enumerate(wrapped(why, width))]
        keys = f"{key_for('open-record')} takes the marked set into the plan, {key_for('edit-record')} types it."
        taken = line((f"   {keys}", "quiet"))
        self.pane.below([*teeth, *(said or [taken])])

    def _marked_set(self) -> SetLine | None:
        key = self.pane.key
        return next((each for each in self._answer.sets if each.key == key), None) if self._answer else None

    def mark_moved(self) -> None:
        if not self._gears:
            self._show_detail()

    # the gears

    def _show_gears(self) -> None:
        gears = gear_lines(self.pit.snapshot)
        pinions = sum(1 for gear in gears if gear.kind == "pinion")
        said = f"Your gears: {counted_words(pinions, 'pinion')}, {counted_words(len(gears) - pinions, 'spur')}."
        alone = unmated_words(self._answer) if self._answer else ""
        self.pane.say(*([said, alone] if gears else [with_keys(NO_GEARS)]))
        table = Table(GEAR_COLUMNS, self.size.width)
        rows = [table.row(gear) for gear in gears]
        self.pane.show([gear.id for gear in gears], rows.__getitem__, table.heads() if gears else [])
        self.pane.below([line(("   DP: diametral pitch, teeth per inch; module in mm is 25.4 over it.", "quiet"))])
        self.pane.footer(self.GEARS_FOOTER)

    def action_next_part(self) -> None:
        self._gears = not self._gears
        self.pane.show()
        self._show()

    def action_go_back(self) -> None:
        if self._gears:
            self.action_next_part()

    # what is done

    def action_step_plan(self, name: str, by: int) -> None:
        if self._plan is not None:
            self.take_plan(stepped_gearing(self._plan, name, by))

    def take_plan(self, plan: GearPlan, gears: bool = False) -> None:
        """Go on with this plan; the mark goes to its set, where that is one of the list."""
        self._plan, self._gears = plan, gears
        self._show()
        if not gears and self._answer is not None and self._answer.key_here:
            self.pane.list.put_mark(self._answer.key_here)

    def action_find_rollout(self) -> None:
        if self._answer is None:
            return
        unit = self.units.unit("max_rollout_mm")
        hint = "π × tyre diameter ÷ FDR: how far the car goes in one turn of the motor."
        self.pit.push_screen(AskText(f"Which rollout do you want, in {unit}?", hint), self._find)

    def _find(self, text: str | None) -> None:
        if text is None or self._answer is None:
            return
        try:
            wanted = read_rollout(text, self.units)
        except Refusal as refusal:
            self.pit.say(str(refusal), trouble=True)
            return
        found = find_set(self._answer, wanted)
        gears, said = found.gears, found_words(found, self._answer, self.units)
        self.take_plan(geared(self._answer.plan, gears.pinion, gears.spur))
        self.pit.say(said)

    def action_open_record(self) -> None:
        """The marked set becomes the plan; a marked gear is edited."""
        marked = self._marked_set()
        if self._gears:
            self.action_edit_record()
        elif marked is not None and self._plan is not None:
            plan = geared(self._plan, marked.gears.pinion, marked.gears.spur)
            if plan == self._plan:
                self.pit.say(f"{plan.pinion}/{plan.spur} is planned already.")
            self.take_plan(plan)

    def action_edit_record(self) -> None:
        key = self.pane.key
        if self._gears and key:
            self.pit.routes.open_form("gear-form", key)
        elif not self._gears and self._plan is not None:
            self.pit.routes.open("plan-form", self._plan, self.take_plan)

    def action_add_gears(self) -> None:
        self.pit.routes.open_form("gear-form")

    def action_delete_record(self) -> None:
        key = self.pane.key
        if self._gears and key:
            self.pit.writing(lambda: put_in_bin(self.pit.book, key))
        elif not self._gears:
            shows, bins = key_for("next-part"), key_for("delete-record")
            self.pit.say(f"A set is made of your gears: {shows} shows them, {bins} there puts one in the bin.")
