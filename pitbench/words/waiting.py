"""Numbers that wait for an answer, in words. Light at import: the first list waits for it."""

from pitbench.records.keys import key_for


def asks() -> str:
    """How they are answered, on a list."""
    return f"{key_for('answer-number')} asks"


def waits_words(count: int, how: str = "") -> str:
    """How many wait, in a sentence, and how they are answered; empty for none.

    >>> waits_words(1), waits_words(2, "q asks"), waits_words(0)
    ('1 number waits for your answer.', '2 numbers wait for your answer: q asks.', '')
    """
    if not count:
        return ""
    return f"{count} number{' waits' if count == 1 else 's wait'} for your answer{f': {how}' if how else ''}."
