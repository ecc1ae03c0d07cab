"""What all answers share: a mean with its range, and the object that --json prints."""

from dataclasses import dataclass, fields, is_dataclass
from typing import Any


@dataclass(frozen=True)
class Spread:
    """A mean with its 5 and 95 % points."""

    mean: float | None
    low90: float | None
    high90: float | None


def plain(answer: Any) -> Any:
    """An answer as plain dicts and lists, ready for JSON; a trailing underscore of a field name is dropped."""
    if is_dataclass(answer):
        return {each.name.rstrip("_"): plain(getattr(answer, each.name)) for each in fields(answer)}
    if isinstance(answer, dict):
        return {key: plain(value) for key, value in answer.items()}
    if isinstance(answer, (list, tuple)):
        return [plain(value) for value in answer]
    return answer
