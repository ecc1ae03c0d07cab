"""What a class sheet says of gearing, changed with one key from the ranking."""

from pitbench.desk.named import named
from pitbench.records.kinds import model_of
from pitbench.records.refusal import Refusal
from pitbench.records.spoken import GEARING
from pitbench.store.logbook import Logbook


def set_gearing_limit(logbook: Logbook, class_name: str | None, limit: str) -> str:
    """Store what stops you gearing higher in this class; returns the words of what was done."""
    row = named(logbook, "class_sheet", class_name) if class_name else None
    if row is None:
        raise Refusal("These motors have no class yet: e on Motors gives them one, then the gearing can be set.")
    words = f"{row['name']}: {GEARING[limit]}"
    logbook.save(words, [model_of("class_sheet").of({**row, "gearing_limit": limit})])
    return words
