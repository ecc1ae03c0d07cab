"""What the screen asks about parts. Light at import, as `comparing/ranked`: what draws is loaded only where it works.

The answer is plain, so that the draws behind it are gone once it is there.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pitbench.desk.answers import PartsAnswer
    from pitbench.store.logbook import Snapshot


def worths(snapshot: Snapshot, class_name: str) -> PartsAnswer:
    """What the parts of a class are worth, and which swap to try next; see `parts_answer`."""
    from pitbench.desk.parts.swaps import parts_answer

    return parts_answer(snapshot, class_name)
