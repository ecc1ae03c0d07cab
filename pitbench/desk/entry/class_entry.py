"""What a class sheet says of gearing, changed with one key from the ranking."""

from pitbench.records.names import name_key
from pitbench.records.refusal import Refusal
from pitbench.store.logbook import Logbook

SPOKEN = {
    "none": "nothing",
    "heat": "motor temperature",
    "rules": "the rules",
    "gears": "my gears",
    "unknown": "don't know",
}


def set_gearing_limit(logbook: Logbook, class_name: str | None, limit: str) -> str:
    """Store what stops you gearing higher in this class; returns the words of what was done."""
    from pitbench.records.models import ClassSheet

    rows = logbook.rows("class_sheet")
    row = next((r for r in rows if class_name is not None and name_key(r["name"]) == name_key(class_name)), None)
    if row is None:
        raise Refusal("These motors have no class yet: e on Motors gives them one, then the gearing can be set.")
    words = f"gearing limit of {row['name']}: {SPOKEN[limit]}"
    logbook.save(words, [ClassSheet.of({**row, "gearing_limit": limit})])
    return words
