"""The questions a racer asks: records in, an answer out. Thin: gathers, calls the figures, names the answer.

For type checking only, the app takes the logbook's types from here; nothing is imported at run time.
"""

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pitbench.desk.answers import RankAnswer as RankAnswer
    from pitbench.desk.comparing.ranked import Ranked as Ranked
    from pitbench.desk.comparing.ranking import Compared as Compared
    from pitbench.store.logbook import Logbook as Logbook
    from pitbench.store.logbook import Snapshot as Snapshot

Question = Callable[..., Any]
"""A function of the desk with all else it needs already in it but a snapshot; one that takes long also takes, as
`told`, whom to tell what part of it is done."""
