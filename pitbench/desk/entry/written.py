"""What every form has of the record it makes or edits."""

from dataclasses import dataclass, field

from pitbench.records.ids import new_id


@dataclass
class Written:
    """A record being written down: texts by field, as typed, and the record it edits, if any."""

    texts: dict[str, str] = field(default_factory=dict)
    edits: str | None = None
    becomes: str = field(default_factory=new_id, compare=False, kw_only=True)
    """Id of the record it makes, chosen when it begins: what is saved is never saved a second time."""
