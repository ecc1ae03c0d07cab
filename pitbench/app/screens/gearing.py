"""Gearing: the sets I own by rollout, legal or not, one tooth up or down, nearest to a wanted rollout."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from pitbench.app.actions import GEARING, bindings_for
from pitbench.app.screens.plan_keys import PlanKeys
from pitbench.app.widgets.line_list import LineList
from pitbench.app.widgets.paint import Line, Lines, Role, Span, fitted, line, wrapped
from pitbench.app.widgets.table import Column, Table
from pitbench.records.refusal import Refusal

if TYPE_CHECKING:
    from pitbench.desk.lists.gear_plan import GearPlan
    from pitbench.desk.lists.gear_sets import Gearing, SetLine
    from pitbench.records.units import Units

GEAR_COLUMNS = (
    Column("kind", 8),
    Column("teeth", 6, "right"),
    Column("DP", 6, "right"),
    Column("module", 7, "right"),
    Column("note", 20, grow=True),
)
BROKEN = {
    (False, False): "",
    (True, False): "! too long",
    (False, True): "! FDR low",
    (True, True): "! long, FDR",
}
"""What of the rules a set breaks, by (rollout, FDR)."""
PLAN_WIDTHS = (19, 10, 10, 11, 10, 9, 10)


def set_columns(length: str) -> tuple[Column, ...]:
    return (
        Column("pinion|", 6, "right"),
        Column("spur|", 5, "right"),
        Column("FDR|", 6, "right"),
        Column(f"rollout|{length}", 7, "right"),
        Column(f"to next|{length}", 7, "right"),
        Column("pitch|DP", 5, "right"),
        Column("module|mm", 6, "right"),
        Column("centre|mm", 6, "right"),
        Column("rules|", 10, grow=True),
    )


class GearingScreen(PlanKeys):
    """The sets, or with Tab the gears they are made of."""

    SHOWN = "go-gearing"
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
        from pitbench.desk.lists.gear_plan import first_plan
        from pitbench.records.units import units_of

        snapshot = self.pit.snapshot
        self._units: Units = units_of(snapshot)
        plan = first_plan(snapshot)
        if self._plan is None or self._began != plan:  # another run was written down: the plan begins there
            self._began = plan
            self.take_plan(plan, self._gears)
        else:
            self._show()

    def _show(self) -> None:
        from pitbench.desk.lists.gear_sets import gearing
        from pitbench.words.gearing import gearing_words

        if self._plan is None:
            return
        self._answer = gearing(self.pit.snapshot, self._plan)
        if self._gears:
            self._show_gears()
            return
        self.say_words(gearing_words(self._answer, self._units))
        table = Table(set_columns(self._units.length), self.size.width)
        self.query_one("#columns", Lines).show([*self._plan_lines(self._answer), (), *table.heads()])
        rows = [self._row(table, each) for each in self._answer.sets]
        self.show_list([each.key for each in self._answer.sets], lambda index, width: rows[index])
        self._show_detail()
        self.show_footer(self.FOOTER)

    def _plan_lines(self, answer: Gearing) -> list[Line]:
        """What is planned, as a small table, and the keys that change it."""
        plan, units, here = answer.plan, self._units, answer.here
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

    def _row(self, table: Table, each: SetLine) -> Line:
        from pitbench.records.spoken import dp_text, module_text

        gears, units = each.gears, self._units
        planned = self._answer is not None and each.key == self._answer.key_here
        role: Role = "accent" if planned else "text"
        broken = BROKEN[gears.over_rollout is not None, gears.under_fdr is not None]
        rules: Span = (broken, "bad") if broken else ("the plan" if planned else "", "quiet")
        return table.row(
            [
                (str(gears.pinion), role),
                (str(gears.spur), role),
                f"{gears.fdr:.3f}",
                units.short("max_rollout_mm", gears.rollout_mm),
                ("" if each.to_next_mm is None else units.short("max_rollout_mm", each.to_next_mm, 2), "quiet"),
                "·" if gears.module_mm is None else dp_text(gears.module_mm),
                "·" if gears.module_mm is None else module_text(gears.module_mm),
                "·" if gears.centre_mm is None else f"{gears.centre_mm:.2f}",
                rules,
            ]
        )

    def _show_detail(self) -> None:
        """What one tooth does, and what is wrong with the marked set: two lines or more."""
        from pitbench.words.gearing import broken_words, tooth_words

        marked = self._marked_set()
        if self._plan is None or self._answer is None or marked is None:
            self.show_below([])
            return
        width = max(20, self.size.width - 4)
        teeth = [line("   ", (row, "quiet")) for row in wrapped(tooth_words(self._answer, self._units), width)]
        why = broken_words(marked.gears, self._plan, self._units)
        said = [line((" ! " if nth == 0 else "   ", "bad"), row) for nth, row in enumerate(wrapped(why, width))]
        taken = line(("   Enter takes the marked set into the plan, e types it.", "quiet"))
        self.show_below([*teeth, *(said or [taken])])

    def _marked_set(self) -> SetLine | None:
        key = self.query_one(LineList).key
        return next((each for each in self._answer.sets if each.key == key), None) if self._answer else None

    def mark_moved(self) -> None:
        if not self._gears:
            self._show_detail()

    # the gears

    def _show_gears(self) -> None:
        from pitbench.desk.entry.gear_entry import gear_lines
        from pitbench.words.gearing import unmated_words

        gears = gear_lines(self.pit.snapshot)
        pinions = sum(1 for gear in gears if gear.kind == "pinion")
        spurs = len(gears) - pinions
        said = f"Your gears: {pinions} pinion{'' if pinions == 1 else 's'}, {spurs} spur{'' if spurs == 1 else 's'}."
        alone = unmated_words(self._answer) if self._answer else ""
        self.say_words([said, alone] if gears else ["No gears yet: + writes down pinions and spurs, several at once."])
        table = Table(GEAR_COLUMNS, self.size.width)
        self.query_one("#columns", Lines).show(table.heads() if gears else [])
        rows = [table.row([g.kind, g.teeth, g.dp, g.module, (g.note, "quiet")]) for g in gears]
        self.show_list([gear.id for gear in gears], lambda index, width: rows[index])
        self.show_below([line(("   DP: diametral pitch, teeth per inch; module in mm is 25.4 over it.", "quiet"))])
        self.show_footer(self.GEARS_FOOTER)

    def action_next_part(self) -> None:
        self._gears = not self._gears
        self.query_one(LineList).show([], lambda index, width: ())
        self._show()

    action_previous_part = action_next_part

    def action_go_back(self) -> None:
        if self._gears:
            self.action_next_part()

    # what is done

    def step_plan(self, name: str, by: int) -> None:
        from pitbench.desk.lists.gear_plan import stepped

        if self._plan is not None:
            self.take_plan(stepped(self._plan, name, by))

    def take_plan(self, plan: GearPlan, gears: bool = False) -> None:
        """Go on with this plan; the mark goes to its set, where that is one of the list."""
        self._plan, self._gears = plan, gears
        self._show()
        if not gears and self._answer is not None and self._answer.key_here:
            self.query_one(LineList).put_mark(self._answer.key_here)

    def action_find_rollout(self) -> None:
        from pitbench.app.dialogs.ask_text import AskText

        if self._answer is None:
            return
        unit = self._units.unit("max_rollout_mm")
        hint = "π × tyre diameter ÷ FDR: how far the car goes in one turn of the motor."
        self.pit.push_screen(AskText(f"Which rollout do you want, in {unit}?", hint), self._find)

    def _find(self, text: str | None) -> None:
        from pitbench.desk.lists.gear_plan import geared
        from pitbench.desk.lists.gear_sets import find_set, read_rollout
        from pitbench.words.gearing import found_words

        if text is None or self._answer is None:
            return
        try:
            wanted = read_rollout(text, self._units)
        except Refusal as refusal:
            self.pit.say(str(refusal), trouble=True)
            return
        found = find_set(self._answer, wanted)
        gears, said = found.gears, found_words(found, self._answer, self._units)
        self.take_plan(geared(self._answer.plan, gears.pinion, gears.spur))
        self.pit.say(said)

    def action_open_record(self) -> None:
        """The marked set becomes the plan; a marked gear is edited."""
        from pitbench.desk.lists.gear_plan import geared

        marked = self._marked_set()
        if self._gears:
            self.action_edit_record()
        elif marked is not None and self._plan is not None:
            self.take_plan(geared(self._plan, marked.gears.pinion, marked.gears.spur))

    def action_edit_record(self) -> None:
        from pitbench.app.screens.gear_form import GearForm, PlanForm

        key = self.query_one(LineList).key
        if self._gears and key:
            self.open_form(lambda: GearForm(key))
        elif not self._gears and self._plan is not None:
            self.pit.push_screen(PlanForm(self._plan, self.take_plan))

    def action_add_gears(self) -> None:
        from pitbench.app.screens.gear_form import GearForm

        self.open_form(GearForm)

    def action_delete_record(self) -> None:
        from pitbench.desk.entry.gear_entry import bin_gear

        key = self.query_one(LineList).key
        if self._gears and key:
            self.write(lambda: bin_gear(self.pit.book, key))
        elif not self._gears:
            self.pit.say("A set is made of your gears: Tab shows them, d there puts one in the bin.")
