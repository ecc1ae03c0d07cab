"""One line of figures or cells fills the fields of a form from the one the input stands on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pitbench.records.names import clean_text
from pitbench.records.spoken import counted_words

if TYPE_CHECKING:
    from pitbench.app.forms.form_screen import FormScreen


def cells(text: str) -> list[str]:
    """The cells of one line: parted by tabs, else by semicolons, empty ones kept; else by blanks.

    >>> cells("3953;;31"), cells("3953, 4,10 31")
    (['3953', '', '31'], ['3953', '4,10', '31'])
    """
    for parting in ("\t", ";"):
        if parting in text:
            return [cell.strip() for cell in text.split(parting)]
    return [cell.rstrip(",") for cell in text.split()]


def fill_fields(form: FormScreen, text: str) -> None:
    """Fill the fields from this one on with the parts of one line; in a field of words, those of numbers too."""
    cut = cells(text)
    if not cut:
        return
    words = form.field.text
    taken = [field for field in form.fields if words or not field.text]
    start = taken.index(form.field)
    for field, part in zip(taken[start:], cut, strict=False):
        form.values[field.name] = "" if not words and part in {"-", "·"} else clean_text(part)
    filled = min(len(cut), len(taken) - start)
    form.value_changed()
    form.body.put_input(form.at, form.value)
    form.moves.to(form.fields.index(taken[start + filled - 1]))
    left = len(cut) - filled
    if left > 0:
        many = counted_words(left, "cell" if words else "number")
        form.say(f"{many} too many for the fields, not kept.", trouble=True)
    else:
        form.say(f"{counted_words(filled, 'field')} filled from one line.")
