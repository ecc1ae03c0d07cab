"""The one way from typed texts to a record: every text is read, what is wrong gathered, and said in one sentence.

`records` gives the clause that completes the sentence; which field and which text, is added here and nowhere else.
What a model refuses in the end comes back as such a sentence too: no form meets another exception.
"""

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any, TypeVar

from pitbench.records.fields import FIELDS, NUMBER, Datum
from pitbench.records.names import clean_text
from pitbench.records.reading import Day, read_text
from pitbench.records.refusal import Refusal
from pitbench.records.units import Units

if TYPE_CHECKING:
    from pitbench.records.frame import Record

R = TypeVar("R", bound="Record")
Texts = Mapping[str, str]
Label = Callable[[str], str]
LONGEST_QUOTE = 40


def label_of(name: str) -> str:
    """What a field is called in a sentence.

    >>> label_of("kv_rpm_per_v"), label_of("end_bell")
    ('KV', 'end bell')
    """
    return FIELDS[name].label if name in FIELDS else name.replace("_", " ")


def sentence(label: str, text: str, why: str) -> str:
    """The field, what was typed in it, and the clause.

    >>> sentence("motor", " Hern ", "is no motor of yours")
    'Motor Hern is no motor of yours.'
    """
    typed = clean_text(text)
    quoted = typed if len(typed) <= LONGEST_QUOTE else f"{typed[:LONGEST_QUOTE]}…"
    return f"{label[:1].upper()}{label[1:]} {quoted}{' ' if quoted else ''}{why}."


def read_all(
    texts: Texts, names: Iterable[str], read: Callable[[str, str], Any]
) -> tuple[dict[str, Any], dict[str, str]]:
    """Values by field, and by field a clause for each text that cannot stand.

    `read(name, text)` gives the value of a text, None where it says nothing, or raises a ValueError with the clause.
    """
    values: dict[str, Any] = {}
    clauses: dict[str, str] = {}
    for name in names:
        try:
            value = read(name, texts.get(name, ""))
        except ValueError as why:
            clauses[name] = str(why)
        else:
            if value is not None:
                values[name] = value
    return values, clauses


def read_field(datum: Datum, text: str, units: Units, day: Day) -> Any:
    """The value of one text as the table says it is read, bare numbers in the units shown; None for a blank one."""
    if not clean_text(text):
        return None
    return units.read(datum.name, text) if datum.form == NUMBER else read_text(datum, text, day)


def text_of(name: str, value: Any, units: Units) -> str:
    """A stored value as a form shows it, read back to the same."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value if isinstance(value, str) else units.in_field(name, value)


def sentences(texts: Texts, clauses: Texts, label: Label = label_of) -> dict[str, str]:
    """Sentences in place of the clauses."""
    return {name: sentence(label(name), texts.get(name, ""), why) for name, why in clauses.items()}


def refuse(problems: Texts) -> None:
    """Raise the first of these sentences as a Refusal, if there is one."""
    for name, problem in problems.items():
        raise Refusal(problem, field=name)


def made(model: "type[R]", row: Mapping[str, Any], label: Label = label_of) -> R:
    """The checked record of a row, blank fields apart; what its model refuses is a Refusal that names the field."""
    from pitbench.records.frame import flaw_of

    said = {name: value for name, value in row.items() if value is not None}
    try:
        return model.of(said)
    except ValueError as error:
        name, clause = flaw_of(error)
        raise Refusal(sentence(label(name), str(said.get(name, "")), clause), field=name) from None
