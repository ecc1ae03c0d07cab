"""Words that narrow a list as they are typed: one rule for every list. The texts are lower case and ready made."""

from collections.abc import Sequence


def narrowed(texts: Sequence[str], words: str, among: Sequence[int] | None = None) -> list[int]:
    """Places of the texts all words are true of; a leading - leaves out. `among` narrows earlier hits further.

    >>> narrowed(["lapwing main", "lapwing practice"], "lap -main")
    [1]
    """
    hits: Sequence[int] = range(len(texts)) if among is None else among
    for word in words.casefold().split():
        if word == "-":
            continue
        if word.startswith("-"):
            hits = [i for i in hits if word[1:] not in texts[i]]
        else:
            hits = [i for i in hits if word in texts[i]]
    return list(hits)


def grown(before: str, words: str) -> bool:
    """Whether the words typed so far only grew, so that the hits there are can be narrowed.

    >>> grown("lap", "lapw"), grown("lap", "whio"), grown("lap", "lap -main")
    (True, False, False)
    """
    return bool(before) and words.startswith(before) and "-" not in words
