"""The logbook's bytes: one JSON object whose first member is a checksum of all that follows.

Only here are the bytes of a logbook made. The seal has a fixed length, so the rest is serialised once, hashed as it
is and written behind it. The seal notices accidents and edits by hand; it is no protection against ill will.
"""

import hashlib
from typing import Any, Literal

from pitbench.store.json_text import to_json

Verdict = Literal["good", "broken", "none"]

NAME = "seal"
_START = b'{"seal":"'
_BEHIND = b'",'
_DIGITS = hashlib.sha256().digest_size * 2
LENGTH = len(_START) + _DIGITS + len(_BEHIND)


def sealed(tree: dict[str, Any]) -> tuple[bytes, memoryview]:
    """The bytes of a tree that is not empty, in two parts: the seal, and all that it seals."""
    rest = memoryview(to_json(tree))[1:]
    return _START + hashlib.sha256(rest).hexdigest().encode() + _BEHIND, rest


def verdict(raw: bytes) -> Verdict:
    """Whether the bytes begin with a seal and whether it fits what follows."""
    if not raw.startswith(_START) or raw[LENGTH - len(_BEHIND) : LENGTH] != _BEHIND:
        return "none"
    written = raw[len(_START) : len(_START) + _DIGITS]
    found = hashlib.sha256(memoryview(raw)[LENGTH:]).hexdigest().encode()
    return "good" if written == found else "broken"
