"""Motors as letters on one scale, so that nothing hangs on colour: who has which letter, and rows of letters."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from pitbench.app.widgets.paint import Line, Role, Span, fitted, width_of
from pitbench.app.widgets.scale import Scale

LABEL_WIDTH = 22
MOST_IN_ORDER = 9


@dataclass(frozen=True)
class LetterRow:
    """One row: a label, what is wrong with it (a mark or nothing), and (letter, value) of every motor, best first."""

    label: str
    mark: str
    letters: Sequence[tuple[str, float]]


def letters(names: Sequence[str]) -> list[str]:
    """One letter a name, its own first letter where that is free, else the next of its letters, else a digit."""
    given: list[str] = []
    for name in names:
        wishes = [c.upper() for c in name if c.isalpha()] + list("0123456789") + list("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
        given.append(next((c for c in wishes if c not in given), "*"))
    return given


def who_is_who(motors: Iterable[tuple[str, str, Role]], width: int) -> list[Line]:
    """Which letter is whom, from (letter, name, role), folded to the width."""
    lines: list[Line] = []
    row: list[Span] = [("  ", "text")]
    for letter, name, role in motors:
        entry: tuple[Span, Span] = ((f" {letter}", "accent" if role == "accent" else "strong"), (f" {name}  ", "text"))
        if len(row) > 1 and width_of((*row, *entry)) > width:
            lines.append(tuple(row))
            row = [("  ", "text")]
        row += entry
    return [*lines, tuple(row)]


def letter_rows(title: str, order: str, rows: Sequence[LetterRow], width: int) -> tuple[Line, list[Line]]:
    """The head with its scale, and a line a row: every motor a letter at its value, then the letters in order."""
    most = max(len(row.letters) for row in rows)
    side = max(len(order), min(most, MOST_IN_ORDER)) + 2
    scale = Scale([value for row in rows for _, value in row.letters], width - LABEL_WIDTH - side - 6)
    head: Line = (
        (fitted(f"   {title}", LABEL_WIDTH + 5), "strong"),
        (scale.head, "quiet"),
        (f"  {order}", "quiet"),
    )
    return head, [_row(row, scale) for row in rows]


def _row(row: LetterRow, scale: Scale) -> Line:
    ground: list[Span] = [(character, "quiet") for character in scale.ground]
    for place, (letter, value) in reversed(list(enumerate(row.letters))):  # the better over the others
        ground[scale.cell(value)] = (letter, "accent" if place == 0 else "text")
    shown = "".join(letter for letter, _ in row.letters[:MOST_IN_ORDER])
    more = "…" if len(row.letters) > MOST_IN_ORDER else ""
    role: Role = "warn" if row.mark else "text"
    return ((fitted(row.mark, 2), "warn"), (fitted(row.label, LABEL_WIDTH), role), *ground, (f"  {shown}{more}", role))
