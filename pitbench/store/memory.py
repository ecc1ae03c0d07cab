"""Memory that is free but kept: a save takes the size of the file twice for a moment, and glibc holds on to it."""

from contextlib import suppress


def give_back() -> None:
    """Hand what is free back to the system, in less than a millisecond; nothing happens where that cannot be asked."""
    with suppress(ImportError, OSError, AttributeError, TypeError):
        import ctypes

        ctypes.CDLL(None).malloc_trim(0)
