"""A plan for tonight's bench: which motor after which, so that the tester's drift cannot fool anybody. Part of Runs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pitbench.app.screens.list_screen import ListScreen
from pitbench.app.widgets.line_list import LineList
from pitbench.app.widgets.paint import Line, Lines, fitted, line

if TYPE_CHECKING:
    from pitbench.desk.bench_plan import PlanAnswer


class BenchPlanScreen(ListScreen):
    """The order of the runs; b on a line logs the run of its motor."""

    SHOWN = "go-runs"
    FOOTER = ("next-part=the runs", "add-bench-run=log this one", "go-back=the runs", "show-keys")
    AFTER = "runs"
    BEFORE = "bench-session"

    _plan: PlanAnswer | None = None

    def ask(self) -> None:
        from pitbench.desk.bench_plan import bench_plan

        ranked = self.rank(None)
        if ranked is None:
            self.say_words(["Working it out …"])
            return
        self._plan = plan = bench_plan(self.pit.snapshot, ranked)
        self.say_words(plan.words)
        drawn = [self._row(nth, name, plan) for nth, name in enumerate(plan.order, 1)]
        self.query_one("#columns", Lines).show([line(("   BENCH PLAN FOR TONIGHT", "strong"))] if drawn else [])
        self.show_list([str(nth) for nth in range(1, len(drawn) + 1)], lambda index, _: drawn[index])
        self.show_below([])

    @staticmethod
    def _row(nth: int, name: str, plan: PlanAnswer) -> Line:
        check = name == plan.check_motor
        return line((f"{nth:>3}   ", "quiet"), (fitted(name, 20), "text"), ("check motor" if check else "", "quiet"))

    def marked_motor(self) -> str | None:
        key = self.query_one(LineList).key
        if key is None or self._plan is None:
            return None
        name = self._plan.order[int(key) - 1]
        return next((motor["id"] for motor in self.pit.snapshot.rows("motor") if motor["name"] == name), None)

    def action_open_record(self) -> None:
        self.action_add_bench_run()

    def action_go_back(self) -> None:
        self.pit.go_to("runs")
