"""A plan for tonight's bench: which motor after which, so that the tester's drift cannot fool anybody. Part of Runs."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from pitbench.app.screens.list_screen import ListScreen
from pitbench.app.widgets.line_list import LineList
from pitbench.app.widgets.paint import Line, fitted, line

if TYPE_CHECKING:
    from pitbench.desk import RankAnswer, Snapshot
    from pitbench.desk.bench.bench_plan import BenchPlan

KEY = ("bench plan",)


class BenchPlanScreen(ListScreen):
    """The order of the runs; b on a line logs the run of its motor."""

    SHOWN = "runs"
    FOOTER = ("next-part=the runs", "add-bench-run=log this one", "go-back=the runs", "show-keys")
    AFTER = "runs"
    BEFORE = "bench-session"

    _plan: BenchPlan | None = None

    def ask(self) -> None:
        ranked = self.ranking(None)
        if ranked is None or ranked.revision != self.pit.snapshot.revision:
            if self._plan is None:
                self.say_waiting(self.pit.answers.ranking_key(None))
            return  # a plan rests on the ranking; the last one stays shown meanwhile
        found = self.answer_to(KEY, partial(_question, ranked.answer), ranked)
        if found is None:
            self.say_waiting(KEY)
        else:
            self._show(found.value)

    def _show(self, plan: BenchPlan) -> None:
        from pitbench.words.bench import plan_words

        self._plan = plan
        self.say_words(plan_words(plan))
        drawn = [self._row(nth, name, plan) for nth, name in enumerate(plan.order, 1)]
        heads = [line(("   BENCH PLAN FOR TONIGHT", "strong"))] if drawn else []
        self.show_list([str(nth) for nth in range(1, len(drawn) + 1)], drawn.__getitem__, heads)
        self.show_below([])

    @staticmethod
    def _row(nth: int, name: str, plan: BenchPlan) -> Line:
        check = name == plan.check_motor
        return line((f"{nth:>3}   ", "quiet"), (fitted(name, 20), "text"), ("check motor" if check else "", "quiet"))

    def marked_motor(self) -> str | None:
        from pitbench.desk.lists.motors import motor_named

        key = self.query_one(LineList).key
        if key is None or self._plan is None:
            return None
        return motor_named(self.pit.snapshot, self._plan.order[int(key) - 1])

    def action_open_record(self) -> None:
        self.action_add_bench_run()

    def action_go_back(self) -> None:
        self.pit.go_to("runs")


def _question(ranked: RankAnswer, snapshot: Snapshot) -> BenchPlan:
    from pitbench.desk.bench.bench_plan import bench_plan

    return bench_plan(snapshot, ranked)
