"""Numbers that wait, as suspects: which of them `waiting` decides, here each gets its sentence and what was meant."""

from collections.abc import Collection, Iterable
from dataclasses import replace

from pitbench.desk.entry.suspects import RunSuspect, one_a_field, worded
from pitbench.records.fields import QUANTITIES
from pitbench.records.kinds import Row
from pitbench.records.spoken import capital


def with_waiting(suspects: Iterable[RunSuspect], row: Row, waits: Collection[str]) -> list[RunSuspect]:
    """The suspects, those that wait marked; with every number that waits and that no other rule has found."""
    found = {suspect.column: suspect for suspect in suspects}
    for column in waits:
        if column not in found:
            found[column] = _asked(column, row)
    return one_a_field(replace(each, waits=each.column in waits) for each in found.values())


def _asked(column: str, row: Row) -> RunSuspect:
    value = row[column]
    if isinstance(value, list | tuple):
        return RunSuspect(column, value[0], f"{capital(QUANTITIES[column].label)}: they wait for your answer.", "asked")
    return worded(column, value, "it waits for your answer", "asked")
