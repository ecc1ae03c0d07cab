"""Rows of texts as the lines of a table, for every command that prints one."""

from collections.abc import Collection, Sequence


def aligned(rows: Sequence[Sequence[str]], left: Collection[int]) -> list[str]:
    """Columns as wide as their widest text: those `left` begin alike, the others end alike, as numbers stand.

    >>> aligned([("motor", "KV"), ("Whio", "3960")], left=(0,))
    ['motor    KV', 'Whio   3960']
    """
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    return [
        "  ".join(
            cell.ljust(width) if at in left else cell.rjust(width)
            for at, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in rows
    ]
