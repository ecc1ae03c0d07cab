"""The bench plan for tonight in words."""

from typing import TYPE_CHECKING

from pitbench.records.spoken import counted_words, listed, number_word

if TYPE_CHECKING:
    from pitbench.desk.bench.bench_plan import BenchPlan


def plan_words(plan: "BenchPlan") -> list[str]:
    """How much it is, what it can tell, and how motors are handled: a sentence each."""
    if not plan.names:
        return ["No motor in use to plan for."]
    return [*_counted(plan), *_told(plan), *_handling(plan)]


def _counted(plan: "BenchPlan") -> list[str]:
    """How much it is."""
    whom = plan.names[0] if len(plan.names) == 1 else f"each of {number_word(len(plan.names))} motors"
    further = [lot for lot in plan.rounds if len(lot) < len(plan.names)]
    more = f", then {counted_words(len(further), 'run')} more of {listed(further[0])}" if further else ""
    runs = counted_words(len(plan.order), "run")
    return [
        f"{number_word(plan.repeats).capitalize()} runs of {whom}{more}: {runs} in all, about {plan.minutes:.0f} min."
    ]


def _told(plan: "BenchPlan") -> list[str]:
    """What so many runs can tell, and what takes another evening."""
    if len(plan.names) < 2:
        return []
    whose = "as this tester repeats itself" if plan.own else "as testers usually repeat themselves"
    if plan.enough is None:
        return [f"A KV difference of {plan.margin_pct:.2f} % takes more than 32 runs of each, {whose}."]
    enough = number_word(plan.enough)
    short = "" if plan.enough <= plan.repeats else ": runs of other evenings count as well"
    return [f"A KV difference of {plan.margin_pct:.2f} % takes {enough} runs of each, {whose}{short}."]


def _handling(plan: "BenchPlan") -> list[str]:
    check = "No check motor: mark one that is never opened, and run it first and last in every session."
    if plan.check_motor:
        check = (
            f"{plan.check_motor}, the check motor, first, between the rounds and last: it shows if the tester drifts."
        )
    unmeasured = listed(plan.unmeasured)
    cold = [f"Before its first run, cold: the winding resistance of {unmeasured}."] if unmeasured else []
    return [check, *cold, "Let every motor cool to the same before its run. Fix it down; hands off while it spins."]
