"""A plan for tonight's bench: which motor after which, so that the tester's drift cannot fool anybody. Part of Runs."""

from functools import partial

from pitbench.app.lists.list_screen import ListScreen
from pitbench.app.widgets.paint import Line, fitted, line
from pitbench.desk.bench.bench_plan import BenchPlan, bench_plan
from pitbench.desk.lists.motors import motor_named
from pitbench.words.bench import plan_words

KEY = ("bench plan",)


class BenchPlanScreen(ListScreen):
    """The order of the runs; b on a line logs the run of its motor."""

    SHOWN = BACK = "runs"
    EXPLAINS = "what to test next"
    FOOTER = ("next-part=the runs", "add-bench-run=log this one", "go-back=the runs", "show-keys")
    AFTER = "runs"
    BEFORE = "bench-session"

    _plan: BenchPlan | None = None

    def ask(self) -> None:
        ranked = self.asking.ranking(None)
        if ranked is None or ranked.revision != self.pit.snapshot.revision:
            if self._plan is None:
                self.pane.say_waiting(self.pit.answers.ranking_key(None))
            return  # a plan rests on the ranking; the last one stays shown meanwhile
        found = self.asking.answer_to(KEY, partial(bench_plan, ranked=ranked.answer), ranked)
        if found is None:
            self.pane.say_waiting(KEY)
        else:
            self._show(found.value)

    def _show(self, plan: BenchPlan) -> None:
        self._plan = plan
        self.pane.say(*plan_words(plan))
        drawn = [self._row(nth, name, plan) for nth, name in enumerate(plan.order, 1)]
        heads = [line(("   BENCH PLAN FOR TONIGHT", "strong"))] if drawn else []
        self.pane.show([str(nth) for nth in range(1, len(drawn) + 1)], drawn.__getitem__, heads)
        self.pane.below()

    @staticmethod
    def _row(nth: int, name: str, plan: BenchPlan) -> Line:
        check = name == plan.check_motor
        return line((f"{nth:>3}   ", "quiet"), (fitted(name, 20), "text"), ("check motor" if check else "", "quiet"))

    def marked_motor(self) -> str | None:
        key = self.pane.key
        if key is None or self._plan is None:
            return None
        return motor_named(self.pit.snapshot, self._plan.order[int(key) - 1])

    def action_open_record(self) -> None:
        self.action_share("bench_run")
