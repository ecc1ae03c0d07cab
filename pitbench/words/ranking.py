"""A ranking in words: the sentences that screens and commands share, so that both say the same.

Words only what the answer holds; nothing is computed here. Light at import: the first list waits for it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from pitbench.records.spoken import FIGURES, listed, number_word
from pitbench.records.stamps import friendly
from pitbench.records.team import AS_BY_DEFAULT

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from pitbench.desk.answers import FigureOf, NextTest, OddRun, RankAnswer, RankedMotor
    from pitbench.desk.comparing.in_class import LeadsBy
    from pitbench.desk.comparing.weights import Trial
    from pitbench.records.units import Units

MOST_ODD = 2
UNITS_OF = {
    "kv_rpm_per_v": ("rpm/V", 0),
    "no_load_current_a": ("A", 2),
    "resistance_mohm": ("mΩ", 1),
    "speed_per_amp": ("rpm/V/A", 0),
    "sensor_spread_deg": ("°", 1),
    "pole_imbalance_pct": ("%", 1),
    "hall_level_spread_pct": ("%", 1),
    "track_pace_s": ("s a lap", 2),
    "finish_temp_c": ("°C", 0),
}
"""Unit and places of the figures that may weigh."""
VERDICTS = {"clear": "clear", "leaning": "leaning", "open": "not settled"}
NOT_RANKED = {
    "no_run": "no bench run yet",
    "new_build": "rebuilt since its last bench run",
    "other_voltage": "tested at another voltage only",
    "part_missing": "a part of it is missing",
}
FLAGS = {
    "no_resistance": "winding resistance not measured",
    "resistance_from_log": "winding resistance seen in a load log only",
    "one_run": "one run only",
    "no_timing": "timing not measured",
    "check_motor": "check motor",
    "run_does_not_fit": "a run does not fit the others",
    "drift": "drifting",
    "voltage_assumed": "test voltage not written down",
    "number_waits": "a number waits for your answer",
}


def chance_number(chance: float) -> str:
    """A chance of 100, never rounded to certainty.

    >>> chance_number(0.824), chance_number(0.0004), chance_number(0.9998)
    ('82', 'under 1', 'over 99')
    """
    if chance < 0.005:
        return "under 1"
    return "over 99" if chance > 0.995 else f"{100 * chance:.0f}"


def score_and_chance(answer: RankAnswer, motor: RankedMotor) -> tuple[str, str]:
    """Score with its margin, and the chance of being best; a point each where there is nobody to compare with."""
    if len(answer.motors) < 2:
        return "·", "·"
    half = (motor.score_high90 - motor.score_low90) / 2
    return f"{motor.score_pct:+z.1f} ±{half:.1f}", chance_number(motor.chance_best)


def rank_cells(answer: RankAnswer, motor: RankedMotor) -> list[str]:
    """Place, name, score, KV, current, winding, bench runs, chance of a ranked motor; a point for what is unknown."""
    score, chance = score_and_chance(answer, motor)
    kv, current, winding = (motor.figures[name] for name in ("kv_rpm_per_v", "no_load_current_a", "resistance_mohm"))
    means = [_mean(kv, 0), _mean(current, 2), _mean(winding, 1)]
    return [str(motor.place), motor.motor, score, *means, str(kv.runs or current.runs), chance]


def _mean(figure: FigureOf, decimals: int) -> str:
    return "·" if figure.mean is None else f"{figure.mean:.{decimals}f}"


def weighed(answer: RankAnswer) -> bool:
    """Whether any figure counts in the score besides power at load."""
    return any(figure.weight > 0 for name, figure in answer.figures.items() if name != "load_power_w")


def score_name(answer: RankAnswer) -> str:
    """What the score is called: power at load, as long as nothing else counts in it."""
    return "score" if weighed(answer) else FIGURES["load_power_w"]


def is_coin_toss(chance: float) -> bool:
    """Whether one of two things is so near even that its number would sound like more.

    >>> is_coin_toss(0.54), is_coin_toss(0.46), is_coin_toss(0.56)
    (True, True, False)
    """
    return max(chance, 1 - chance) < 0.55


def in_100(chance: float) -> str:
    """A chance of 100 in a sentence."""
    return f"{chance_number(chance)} in 100"


def headline(answer: RankAnswer, minutes: float = AS_BY_DEFAULT.test_minutes) -> list[str]:
    """The answer in sentences: best for the main, what to test next in so many minutes, better on the bench."""
    if answer.verdict is None:
        return [_too_few(answer)]
    following = what_next(answer, minutes)
    question = "" if "gearing higher" in following else _gearing_question(answer)
    return [line for line in (_best(answer), following, question, _bench(answer)) if line]


def odd_words(found: Iterable[OddRun], now: datetime | None) -> str:
    """Runs that are plainly odd: the first in a sentence, those of other motors named; what only fits badly is not."""
    odd = [each for each in found if each.plain]
    if not odd:
        return ""
    others = [f"{each.motor}'s of {friendly(each.taken_at, now)}" for each in odd[1 : MOST_ODD + 1]]
    more = [f"{len(odd) - 1 - MOST_ODD} more"] if len(odd) - 1 > MOST_ODD else []
    return f"{odd_run_words(odd[0], now)}{f' Check {listed([*others, *more])} too.' if others else ''}"


def odd_run_words(odd: OddRun, now: datetime | None) -> str:
    """What is odd about a run, with its motor and time, in a sentence."""
    return f"{odd.motor}'s {what_is_odd(odd, now)}{'' if _of_two(odd) else ': check it'}."


def what_is_odd(odd: OddRun, now: datetime | None) -> str:
    """The same where the motor is named beside it."""
    figure, when = FIGURES[odd.figure], friendly(odd.taken_at, now)
    if odd.why == "kept":
        return f"run of {when} has an unlikely {figure}, {_plain(odd.value)}"
    if odd.why == "fit" or odd.times is None:
        return f"run of {when} does not fit its others in {figure}"
    if _of_two(odd):
        return f"two runs differ {_fold(odd.times)} in {figure}: check the one of {when}"
    return f"run of {when} differs {_fold(odd.times)} from its others in {figure}"


def _of_two(odd: OddRun) -> bool:
    return odd.why == "apart" and odd.runs == 2


def _fold(times: float) -> str:
    """How many times more or less.

    >>> _fold(9.9), _fold(103.0), _fold(2.41)
    ('tenfold', 'a hundredfold', 'by a factor of 2.4')
    """
    if 9 < times < 11:
        return "tenfold"
    return "a hundredfold" if 90 < times < 110 else f"by a factor of {times:.2g}" if times < 99 else "more than tenfold"


def _plain(value: float) -> str:
    """A value as it was typed, to four figures.

    >>> _plain(30920.0), _plain(2.2), _plain(11.25)
    ('30920', '2.2', '11.25')
    """
    return f"{value:.0f}" if value >= 100 else f"{value:.4g}"


def cannot_be_told(answer: RankAnswer) -> list[str]:
    """One sentence for every group of motors that cannot be told apart."""
    letters = dict.fromkeys(letter for motor in answer.motors for letter in motor.group)
    groups = [[motor.motor for motor in answer.motors if letter in motor.group] for letter in letters]
    return [f"{listed(group)} cannot be told apart yet." for group in groups if len(group) > 1]


def conditions(answer: RankAnswer, units: Units) -> str:
    """At what timing and warmth motors are compared, or that they are not."""
    timing, warm = answer.basis.timing_deg, answer.basis.motor_temp_c
    return ", ".join(
        [
            "timing not equalised" if timing is None else f"all at {timing:.1f}° timing",
            "warmth not equalised" if warm is None else f"all at {units.degrees(warm)}",
        ]
    )


def not_ranked_words(why: str) -> str:
    """Why a motor is not ranked.

    >>> not_ranked_words("no_run")
    'no bench run yet'
    """
    return NOT_RANKED[why]


def _too_few(answer: RankAnswer) -> str:
    if not answer.motors:
        return "Nothing to rank yet: it takes two motors of one class with a bench run each."
    return f"Only {answer.motors[0].motor} can be ranked: it takes a second motor of its class with a bench run."


def _best(answer: RankAnswer) -> str:
    leader, others = answer.motors[0], number_word(len(answer.motors))
    chance = in_100(leader.chance_best)
    if answer.verdict == "open":
        return f"Best for the main: not settled. {leader.motor} leads, {chance} to be the best of {others}."
    word = VERDICTS[answer.verdict or "open"].capitalize()
    little = ", ahead, too little to matter" if answer.verdict == "leaning" and leader.chance_best >= 0.9 else ""
    return f"Best for the main: {leader.motor}. {word}: {chance} to be the best of {others}{little}."


def settling_words(answer: RankAnswer) -> str:
    """How many more runs would settle it, or why runs will not; empty when it is settled."""
    first, second = answer.motors[0].motor, answer.motors[1].motor
    runs = answer.settle.runs or 0
    more = f"{number_word(runs).capitalize()} more bench run{'s' if runs > 1 else ''} each of {first} and {second}"
    return {
        "done": "",
        "runs": f"{more} should make it clear.",
        "too_close": f"{first} and {second} are within your margin: more bench runs will not part them.",
        "bench_cannot_tell": f"More bench runs alone would not make it clear between {first} and {second}.",
        "over_32": f"It would take more than 32 bench runs each to tell {first} from {second}.",
    }[answer.settle.why or "done"]


def what_next(answer: RankAnswer, minutes: float, *, another_day: bool = True) -> str:
    """What to test within so many minutes, or why nothing; empty when it is settled. One thing, never two.

    another_day: whether what takes another day is worth saying.
    """
    test, settle = answer.next_test, answer.settle
    if answer.verdict in (None, "clear"):
        return ""
    if test is not None and test.test != "session":
        enough = settle.runs if test.test == "runs" and len(test.motors) > 1 else None
        further = f" {number_word(enough).capitalize()} should make it clear." if enough and enough > test.count else ""
        return f"{next_test_words(test)}{further}"
    if test is None and answer.gearing_limit == "unknown":
        return f"Nothing within {minutes:.0f} min would tell before you say what stops you gearing higher."
    later = next_test_words(test) if test is not None and another_day else settling_words(answer)
    return f"Nothing within {minutes:.0f} min would tell. {later}".strip()


def next_test_words(test: NextTest) -> str:
    """A test with its minutes and what it is expected to bring, as a sentence."""
    return f"{test_words(test)}: {chance_number(test.chance_now)} → {in_100(test.chance_expected)}."


def test_words(test: NextTest) -> str:
    """A test with its minutes, without what it brings."""
    names, each = listed(test.motors), " each" if len(test.motors) > 1 else ""
    runs = f"bench run{'s' if test.count > 1 else ''}{each} of {names}"
    what = {
        "runs": f"Next: {number_word(test.count)} more {runs}",
        "session": f"Another day: {number_word(test.count)} {runs}",
        "winding": f"Next: winding of {names}{_times(test.count)}, clips off and on",
        "timing": f"Next: timing of {names}{_times(test.count)}",
        "swap": f"Next: the swap that Parts names, {names}",
    }[test.test]
    return f"{what}, {test.minutes:.0f} min"


def _times(count: int) -> str:
    return {1: "", 2: " twice"}.get(count, f" {number_word(count)} times")


def _gearing_question(answer: RankAnswer) -> str:
    return "What stops you gearing higher? The answer depends on it." if answer.gearing_limit == "unknown" else ""


def _bench(answer: RankAnswer) -> str:
    leader, chance = answer.bench.leader, answer.bench.chance_best
    if leader is None or chance is None:
        return ""
    differs = " The track may differ." if leader != answer.motors[0].motor else ""
    return f"Better on the bench, without load: {leader}, {in_100(chance)}.{differs}"


def leads_by_words(leader: str, by: LeadsBy | None) -> str:
    """Why the leader leads, since KV and current alone do not show it; empty where no single figure does it."""
    if by is None:
        return ""
    unit, decimals = UNITS_OF[by.figure]
    own, others = f"{by.own:.{decimals}f}", f"{by.others:.{decimals}f}"
    called = "winding" if by.figure == "resistance_mohm" else FIGURES[by.figure]
    return f"{leader} leads by its {called}: {own} {unit}, the others {others}."


def trials_words(trials: Sequence[Trial]) -> str:
    """Whether the order hangs on the weights, in a sentence."""
    leader = trials[0].leader
    others = [trial for trial in trials if trial.leader != leader]
    if others:
        parts = listed([f"{trial.leader} ({trial.label})" for trial in others])
        return f"Who leads hangs on the weights: {leader} as they are set; else {parts}."
    orders = {tuple(name for name, _ in trial.scores) for trial in trials}
    rest = "others change places" if len(orders) > 1 else "nobody changes place"
    return f"{leader} leads with any one weight halved or doubled, and by power at load alone; {rest}."
