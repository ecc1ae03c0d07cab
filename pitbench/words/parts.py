"""Parts in words: which swap to try next and why, what a part is worth, which builds are likely best.

The screen and the command share these sentences. Words only what the answer holds; nothing is computed here. Light at
import, as the ranking's words are.
"""

from __future__ import annotations

from math import inf
from typing import TYPE_CHECKING

from pitbench.records.fields import PART_KINDS
from pitbench.records.spoken import FIGURES, capital, counted_words, listed, number_word
from pitbench.words.ranking import UNITS_OF, chance_number, in_100

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pitbench.desk.answers import BuildChance, BuildToTest, Move, PartsAnswer, PartWorth, Spread, SwapAdvice

KINDS = {kind: kind.replace("_", " ") for kind in PART_KINDS}
PLACES = ("", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")
UNITS = {name: of for name, of in UNITS_OF.items() if name not in ("speed_per_amp", "track_pace_s", "finish_temp_c")}
"""Unit and decimals of what a part adds to a figure."""
FROM_NO_SWAP = "is known from what such a part causes, not from a swap"
TRY_NEXT = "try next"
NAMED_FROM = 0.5
"""Chance of being the most even from which a build is named: more likely than all others together. Ours."""
MOST_NAMED = 4
"""Parts of one kind called by name in one sentence."""


def short_name(kind: str, part: str) -> str:
    """A part where its kind is said already: a motor's own part by the motor alone.

    >>> short_name("end_bell", "Whio end bell"), short_name("rotor", "R8")
    ('Whio', 'R8')
    """
    ending = f" {KINDS[kind]}"
    return part.removesuffix(ending) if len(part) > len(ending) else part


def part_words(kind: str, part: str) -> str:
    """A part in a sentence, its kind said once.

    >>> part_words("rotor", "R8"), part_words("end_bell", "Whio end bell")
    ('rotor R8', 'the Whio end bell')
    """
    short = short_name(kind, part)
    return f"{KINDS[kind]} {part}" if short == part else f"the {short} {KINDS[kind]}"


def build_words(build: BuildChance | BuildToTest) -> str:
    """A build by its parts: `S1 R8 E2`, or with the kinds where parts bear the names of motors."""
    parts = {kind: getattr(build, kind) for kind in PART_KINDS}
    if all(short_name(kind, part) == part for kind, part in parts.items()):
        return " ".join(parts.values())
    return ", ".join(part_words(kind, part) for kind, part in parts.items())


def margin_words(spread: Spread | None, decimals: int) -> str:
    """A difference and how far it may be off, nine times in ten; a point where nobody measured it."""
    if spread is None or spread.mean is None or spread.low90 is None or spread.high90 is None:
        return "·"
    return f"{spread.mean:+z.{decimals}f} ±{(spread.high90 - spread.low90) / 2:.{decimals}f}"


def tells(name: str, spread: Spread | None) -> bool:
    """Whether anything but nought is known of this figure: what such a part cannot cause is nought exactly."""
    return any(digit in "123456789" for digit in margin_words(spread, UNITS[name][1]))


def place_words(place: int | None) -> str:
    """Where a build stands in evenness.

    >>> place_words(1), place_words(12), place_words(22), place_words(None)
    ('first', '12th', '22nd', '·')
    """
    if place is None or 0 < place < len(PLACES):
        return PLACES[place] if place else "·"
    ending = "th" if place % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(place % 10, "th")
    return f"{place}{ending}"


def best_parts(answer: PartsAnswer, kind: str) -> list[tuple[PartWorth, Spread | None]]:
    """The parts of a kind with what each is worth at load, the best first, those nobody knows last."""
    found = [each for each in zip(answer.swaps.parts, answer.power_pct, strict=True) if each[0].kind == kind]
    return sorted(
        found, key=lambda each: -inf if each[1] is None or each[1].mean is None else each[1].mean, reverse=True
    )


# what to try next


def headline(answer: PartsAnswer) -> list[str]:
    """What to try next, what it takes and what to run beside it, and the most even build: another claim."""
    advice = answer.advice
    first = [_no_advice(answer)] if advice is None else [advice_words(advice), effort_words(advice, answer.minutes)]
    return [*first, *filter(None, [even_words(answer)])]


def advice_words(advice: SwapAdvice) -> str:
    """What to build, in which motor, and what may come of it."""
    return f"{_what(advice)}: {_chance(advice)}."


def effort_words(advice: SwapAdvice, minutes: float) -> str:
    """The time it takes, of the minutes the user has, and what to run it against."""
    runs = f"{number_word(advice.runs)} run{'' if advice.runs == 1 else 's'}"
    each = f"{' and the winding' if advice.winding else ''}{' each' if advice.beside else ''}"
    yours = f", you have {minutes:.0f}" if advice.minutes > minutes else ""
    return f"About {advice.minutes:.0f} minutes{yours}: {runs}{each}. {capital(_beside(advice))}."


def why_words(advice: SwapAdvice) -> str:
    """The test and its reason in one sentence: the chance, what to run beside it and why, what it is known from."""
    unparted = ""
    if advice.unparted:
        are = "is" if len(advice.unparted) == 1 else "are"
        unparted = (
            f"; what {listed(advice.unparted)} {are} worth is known from what such a part causes, not from a swap"
        )
    return f"{_what(advice)}: {_chance(advice)}; {_beside(advice)}{unparted}."


def _what(advice: SwapAdvice) -> str:
    moves = listed([part_words(move.kind, move.part) for move in advice.moves])
    return f"Try {moves} in {advice.motor}" if moves else f"Run {advice.motor} as it is now"


def _chance(advice: SwapAdvice) -> str:
    if advice.rival == advice.motor and not advice.moves:
        return "it is the best build tested so far, and no swap tells more for its minutes"
    against = {None: "the best build tested so far", advice.motor: f"{advice.motor} as it is"}
    rival = against.get(advice.rival, advice.rival)
    gain = f"{advice.gain_pct:+.1f} %" if advice.gain_pct >= 0.05 else "less than 0.1 %"
    return f"{in_100(advice.chance_better)} that it beats {rival}, by {gain} if so"


def _beside(advice: SwapAdvice) -> str:
    """What to run in the same session, before it is opened where a part comes out of it, and why."""
    alone = "alone on another evening it tells next to nothing"
    if advice.beside is None:
        return "no other motor can be run beside it, and alone it tells next to nothing: so moody is a tester"
    if advice.beside == advice.motor and advice.moves:
        return f"run {advice.motor} before you open it and again after, in one session: {alone}"
    if advice.opens_it:
        return f"run {advice.beside} in the same session, before you open it: {alone}"
    return f"run {advice.beside} beside it in the same session: {alone}"


def even_words(answer: PartsAnswer) -> str:
    """The most even build, a claim of its own; empty where nobody measured how even anything is."""
    found = next((nth for nth, build in enumerate(answer.swaps.builds) if build.even_place == 1), None)
    if found is None or len(answer.swaps.builds) < 2:
        return ""
    motor, chance = answer.in_motor[found], answer.even_chance
    if chance is not None and chance < NAMED_FROM:
        return f"Most even is not settled: the likeliest build has {in_100(chance)}."
    sure = "" if chance is None else f": {in_100(chance)}"
    what = f"is {motor} as it is" if motor else f"would be {build_words(answer.swaps.builds[found])}"
    return f"Most even {what}{sure}."


def _no_advice(answer: PartsAnswer) -> str:
    parts, builds = answer.swaps.parts, answer.swaps.builds
    motors = list(dict.fromkeys(part.in_ for part in parts if part.in_))
    if not parts:
        return "No parts yet: every motor written down brings its stator, rotor and end bell."
    if not any(build.tested for build in builds):
        return "Nothing to say of parts yet: no motor here that is whole was on the bench."
    if len(builds) == 1:
        only = f"Only {motors[0]}" if len(motors) == 1 else "Only one build can be made"
        return f"{only}: nothing to swap. It takes a second motor of the class, or a spare part."
    if not mixed(builds):
        return "Nothing to swap: the rules of the class, as you wrote them down, let no part go into another motor."
    best = max(range(len(builds)), key=lambda nth: (builds[nth].tested, builds[nth].chance_best))
    name = answer.in_motor[best] or build_words(builds[best])
    return (
        "No swap is worth the evening: no test would gain anything to speak of. "
        f"Best so far: {name}, {in_100(builds[best].chance_best)} of {len(builds)} builds."
    )


def mixed(builds: Sequence[BuildChance]) -> bool:
    """Whether any part may stand in more than one build."""
    return any(len({getattr(build, kind) for build in builds}) < len(builds) for kind in PART_KINDS)


# what stands below


def more_builds_words(rest: Sequence[BuildChance]) -> str:
    """The builds there is no room for; empty where all are shown."""
    if not rest:
        return ""
    highest = chance_number(max(build.chance_best for build in rest))
    chances = f"none above {highest}" if highest.isdigit() else f"each {highest}"
    return f"{counted_words(len(rest), 'more build')}, {chances}"


def place_of_build(answer: PartsAnswer, nth: int) -> str:
    """The motor that is built like the nth build, that it is to be tried, or whether it was tested."""
    build, advised = answer.swaps.builds[nth], answer.swaps.test_next
    if answer.in_motor[nth]:
        return answer.in_motor[nth] or ""
    if advised is not None and all(getattr(advised, kind) == getattr(build, kind) for kind in PART_KINDS):
        return TRY_NEXT
    return "tested" if build.tested else "not tested"


def known_words(answer: PartsAnswer, kind: str, swap: Sequence[Move]) -> str:
    """Which parts of a kind are known by no swap, and which single swap would part them; empty where all moved.

    swap: the two parts that would change places, each with the motor it is in; nothing where there is no such swap.
    """
    parts = [part for part in answer.swaps.parts if part.kind == kind]
    alone = [part for part in parts if not part.separated]
    if not alone:
        return ""
    if len(alone) == len(parts) and all(part.moved == 0 for part in answer.swaps.parts):
        told = f"Nothing was ever moved: what a part is worth {FROM_NO_SWAP}."
    else:
        named = [short_name(kind, part.part) for part in alone]
        more = [f"{number_word(len(named) - MOST_NAMED)} more"] if len(named) > MOST_NAMED else []
        names, one = listed([*named[:MOST_NAMED], *more]), len(alone) == 1
        if all(part.moved == 0 for part in alone):
            told = f"{capital(names)} never moved: what {'it is' if one else 'they are'} worth {FROM_NO_SWAP}."
        else:
            told = f"No swap has told yet what {names} {'is' if one else 'are'} worth: that {FROM_NO_SWAP}."
    advised = {(move.kind, move.part) for move in answer.advice.moves} if answer.advice else set()
    unparted = set(answer.advice.unparted) if advised and answer.advice else set()
    if {part.part for part in alone} & unparted or advised & {(move.kind, move.part) for move in swap}:
        return f"{told} The swap above would begin to tell."
    return f"{told} {parting_words(swap)}".strip()


def parting_words(swap: Sequence[Move]) -> str:
    """The single swap that would tell parts from their neighbours; empty where there is none."""
    if not swap:
        return ""
    first, second = swap
    kind = KINDS[first.kind]
    if short_name(first.kind, first.part) != first.part or short_name(second.kind, second.part) != second.part:
        told = f"{part_words(first.kind, first.part)} for {part_words(second.kind, second.part)}"
    else:
        told = f"{kind} {first.part} of {first.from_} for {second.part} of {second.from_}"
    return f"One swap would tell: {told}."


def worth_words(part: PartWorth, power: Spread | None) -> str:
    """All that a part is worth beside the average of its kind, figure by figure, but what such a part cannot cause."""
    where = f"in {part.in_}" if part.in_ else "spare"
    told = [f"power at load {margin_words(power, 1)} %"] if power is not None else []
    for name, (unit, decimals) in UNITS.items():
        spread = part.figures.get(name)
        if tells(name, spread):
            told.append(f"{FIGURES[name]} {margin_words(spread, decimals)} {unit}")
    name = capital(part_words(part.kind, part.part))
    return f"{name}, {where}: {', '.join(told) or 'no figure of it yet'}."
