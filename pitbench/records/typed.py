"""What is wrong with a typed text, as one sentence. Every form of the desk says it this way.

`records` gives the clause that completes the sentence; which field and which text, is added here and nowhere else.
"""

from pitbench.records.names import clean_text
from pitbench.records.quantities import QUANTITIES

LONGEST_QUOTE = 40
_LABELS = {"taken_at": "time", "fitted_since": "parts fitted"}


def label_of(name: str) -> str:
    """What a field is called in a sentence.

    >>> label_of("kv_rpm_per_v"), label_of("end_bell")
    ('KV', 'end bell')
    """
    return QUANTITIES[name].label if name in QUANTITIES else _LABELS.get(name, name.replace("_", " "))


def sentence(label: str, text: str, why: str) -> str:
    """The field, what was typed in it, and the clause.

    >>> sentence("motor", " Hern ", "is no motor of yours")
    'Motor Hern is no motor of yours.'
    """
    typed = clean_text(text)
    quoted = typed if len(typed) <= LONGEST_QUOTE else f"{typed[:LONGEST_QUOTE]}…"
    return f"{label[:1].upper()}{label[1:]} {quoted}{' ' if quoted else ''}{why}."
