"""What if this run were left out: the ranking without it against the ranking with it, in words."""

from pitbench.desk.answers import RankAnswer
from pitbench.words.ranking import VERDICTS, in_100, not_ranked_words


def without_words(with_it: RankAnswer, without: RankAnswer) -> str:
    """Leader, chance and verdict without the run, and what they are with it."""
    if with_it == without:
        return "Nothing would change in the ranking: it does not use this run."
    gone = [other for other in without.not_ranked if other not in with_it.not_ranked]
    said = [f"Without it {other.motor} is not ranked: {not_ranked_words(other.why)}." for other in gone]
    if without.verdict is None:
        return " ".join([*said, "Fewer than two motors are left to rank."])
    if not gone and _same_at_the_top(with_it, without):
        return _as_before(with_it, without)
    first, before = without.motors[0].motor, with_it.motors[0].motor if with_it.verdict else None
    still = " still" if first == before else ""
    said.append(f"{'Then' if gone else 'Without it'} {first}{still} leads: {_how_sure(without)}.")
    if before is not None:
        said.append(f"With it{'' if still else f' {before}'}: {_how_sure(with_it)}.")
    return " ".join(said)


def _same_at_the_top(with_it: RankAnswer, without: RankAnswer) -> bool:
    """Whether both would be told in the same words: leader, verdict and chance."""
    if with_it.verdict is None:
        return False
    return with_it.motors[0].motor == without.motors[0].motor and _how_sure(with_it) == _how_sure(without)


def _as_before(with_it: RankAnswer, without: RankAnswer) -> str:
    if [motor.motor for motor in with_it.motors] == [motor.motor for motor in without.motors]:
        return "It would change nothing in the ranking."
    leads = f"{without.motors[0].motor} leads as before: {_how_sure(without)}."
    return f"Without it others change places. {leads}"


def _how_sure(answer: RankAnswer) -> str:
    return f"{VERDICTS[answer.verdict or 'open']}, {in_100(answer.motors[0].chance_best)} to be the best"
