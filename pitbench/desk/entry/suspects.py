"""Numbers that are possible and yet unlikely: marked, explained, and kept if that is wanted. Nothing is refused here.

What a suspect is, and the one rule that holds for numbers of all records: their likely range. What else a number is
held against stands in `suspects_bench` and `suspects_track`. The form and `load` both ask there.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from pitbench.desk.entry.mistyped import Doubted, Typed, doubted
from pitbench.desk.entry.mistyped_alone import Alone
from pitbench.desk.entry.slips import FAHRENHEIT, FIELDS_SWAPPED, POLES
from pitbench.figures.mistyped import OFFERED
from pitbench.records.fields import QUANTITIES
from pitbench.records.kinds import Row
from pitbench.records.numbers import shown
from pitbench.records.spoken import capital

Rule = Literal["range", "foreseen", "asked", "sensors", "speed", "poles", "laps", "gears", "warmth", "event"]
USUAL = "{low} to {high}{unit} is usual"
ORDER = {name: at for at, name in enumerate(["started_at", *QUANTITIES])}
EXPECTED = "{low} to {high}{unit} would be expected"


@dataclass(frozen=True)
class RunSuspect:
    """An unlikely number: why in a sentence, the chance that it was mistyped, the likely cause, and what was meant
    where that is sure enough.

    `ends`: from where to where it should lie, and `says` how that is put, for those who show it in their own unit;
    `asks`: what was likely meant, as a question. `other`: the field it was swapped with. `place`: which of several
    numbers in the field. `against`: the temperature it is held against, °C, and in which words, likewise.
    far: whether it lies so far off that it waits; waits: whether it stays out of every figure until somebody has
    answered for it, see `suspects_waiting`.
    """

    column: str
    value: float
    sentence: str
    rule: Rule
    cause: str | None = None
    suggested: float | None = None
    chance: float | None = None
    asks: str = ""
    ends: tuple[float, float] | None = None
    says: str = ""
    against: tuple[str, float] | None = None
    far: bool = False
    waits: bool = False
    other: str | None = None
    place: int | None = None


def conditions(run: Row) -> tuple[str | None, float | None, float | None]:
    """Runs are compared with those of the same build, test voltage (to 0.1 V) and timing mark."""
    voltage = run.get("test_voltage_v")
    return run.get("build_id"), None if voltage is None else round(voltage, 1), run.get("timing_mark_deg")


def made_alike(run: Row, runs: Iterable[Row]) -> list[Row]:
    """Those of the runs that were made under the same conditions; what is not known agrees with all."""
    own = conditions(run)
    return [r for r in runs if all(a is None or b is None or a == b for a, b in zip(own, conditions(r), strict=True))]


def one_a_field(suspects: Iterable[RunSuspect]) -> list[RunSuspect]:
    """The first suspect of each field, in the order of the fields."""
    found: dict[str, RunSuspect] = {}
    for suspect in suspects:
        found.setdefault(suspect.column, suspect)
    return sorted(found.values(), key=lambda suspect: ORDER[suspect.column])


def unlikely(values: Row, typed: Mapping[str, Typed] | None = None) -> list[RunSuspect]:
    """Numbers outside the likely range of their field, whatever record they stand in; typed: their texts."""
    found = []
    for name, value in values.items():
        quantity = QUANTITIES.get(name)
        if quantity is None or not isinstance(value, int | float) or quantity.likely[0] <= value <= quantity.likely[1]:
            continue
        judged = doubted({name: value}, typed or {}, [Alone(name, value)], least=0.0)
        found.append(out_of_range(name, value, judged.get(name)))
    return found


def out_of_range(name: str, value: float, judged: Doubted | None) -> RunSuspect:
    """A number outside its likely range, with what was meant as far as that is known."""
    return spanned(name, value, USUAL, QUANTITIES[name].likely, "range", judged)


def spanned(
    name: str,
    value: float,
    says: str,
    ends: tuple[float, float],
    rule: Rule,
    judged: Doubted | None = None,
    changes: str = "",
) -> RunSuspect:
    """A suspect that should lie between two ends, which `says` names as {low}, {high} and {unit}."""
    low, high = (short(name, end) for end in ends)
    unit = QUANTITIES[name].unit
    made = suspect_of(name, value, said(says, low, high, unit), rule, judged, changes)
    return replace(made, ends=ends, says=says)


def said(says: str, low: str, high: str, unit: str) -> str:
    """The clause with its ends in the unit they are shown in."""
    words = says.format(low=low, high=high, unit=f" {unit}" if unit else "")
    return words.replace(f"between {low} and {high}", f"at {low}") if low == high else words


def suspect_of(name: str, value: float, why: str, rule: Rule, judged: Doubted | None, changes: str = "") -> RunSuspect:
    """A suspect with the cause and the number meant. changes: what may have changed instead, where nobody knows."""
    if judged is None or judged.chance < OFFERED:
        return replace(worded(name, value, why, rule), chance=judged and round(judged.chance, 4))
    cause = cause_of(judged) or (f"unknown, or {changes} changed" if changes else "unknown")
    if judged.cause and judged.meant is not None and not judged.exact:
        question = f"{cause}, about {short(name, judged.meant)}"
    else:
        question = cause if judged.cause else f"misread, or {changes} changed" if changes else ""
    made = worded(name, value, why, rule, question or None)
    other = judged.other if judged.exact else None
    return replace(made, cause=cause, suggested=judged.meant, chance=round(judged.chance, 4), other=other)


def with_cause(suspect: RunSuspect, judged: Doubted | None) -> RunSuspect:
    """A suspect that another rule has found, with the cause and the number meant."""
    if judged is None:
        return suspect
    if suspect.suggested is not None:
        return replace(suspect, chance=round(judged.chance, 4))
    why = suspect.sentence.removesuffix(suspect.asks).removesuffix(".").partition(": ")[2]
    made = suspect_of(suspect.column, suspect.value, why, suspect.rule, judged)
    return replace(made, against=suspect.against, place=suspect.place)


def cause_of(judged: Doubted) -> str:
    """The likely cause in words; empty where nobody knows."""
    if judged.cause == FAHRENHEIT:
        return FAHRENHEIT if judged.meant is None else f"{FAHRENHEIT}, which is {shown(judged.meant)} °C"
    if judged.cause == POLES:
        return f"the tester was set to {judged.setting} poles"
    if judged.cause == FIELDS_SWAPPED and judged.other:
        return f"swapped with {QUANTITIES[judged.other].label}"
    return judged.cause


def not_in_fahrenheit(suspects: Iterable[RunSuspect], typed_so: Collection[str]) -> list[RunSuspect]:
    """The suspects without the offer of °F for fields that were typed in °F."""
    return [
        replace(s, sentence=s.sentence.removesuffix(s.asks), asks="", cause=None, suggested=None)
        if s.cause and s.cause.startswith(FAHRENHEIT) and s.column in typed_so
        else s
        for s in suspects
    ]


def worded(
    name: str, value: float, why: str, rule: Rule, cause: str | None = None, suggested: float | None = None
) -> RunSuspect:
    """A suspect with its sentence: the field, its value, why, and the cause as a question."""
    label = QUANTITIES[name].label
    sentence = f"{capital(label)} {short(name, value)}: {why}.{asked(cause)}"
    return RunSuspect(name, value, sentence, rule, cause, suggested, asks=asked(cause))


def asked(cause: str | None) -> str:
    """What was likely meant, as a question behind the sentence."""
    return f" {capital(cause)}?" if cause else ""


def short(name: str, value: float) -> str:
    """A number without the digits that a conversion of units made."""
    return shown(round(value, QUANTITIES[name].decimals + 1))
