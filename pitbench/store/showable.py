"""Whether plain rows may be shown before anybody checked them: a seal vouches for them, yet anybody can seal a file.

Lists, `rank` and undo read plain rows and rely on what is asked here: every row stands under its own id, what its
model requires is there and text or number as it should be, and the list of changes has its form. Everything else is
for the models, behind the first list. A test holds `REQUIRED` against them.
"""

from collections.abc import Mapping
from operator import itemgetter

from pitbench.records.fields import QUANTITIES, RECORDS
from pitbench.records.kinds import Row
from pitbench.store.rows import history_problems

REQUIRED = {kind: [d.field for d in data if d.field and d.in_record] for kind, data in RECORDS.items()}
for _kind in ("bench_run", "track_run"):
    REQUIRED[_kind].append("build_id")


def showable(tree: Mapping[str, Mapping[str, Row]]) -> bool:
    """Whether a tree has all that, be it of tables or not; False is no verdict, the whole check says what is wrong."""
    try:
        tables = all(_is_table(tree.get(kind, {}), names) for kind, names in REQUIRED.items())
        return tables and not any(history_problems(tree))
    except (AttributeError, KeyError, TypeError):
        return False


def _is_table(table: Mapping[str, Row], names: list[str]) -> bool:
    """A field at a time: of the ways to ask the quickest, and a large file waits for it."""
    return list(map(itemgetter("id"), table.values())) == list(table) and all(
        set(map(type, map(itemgetter(name), table.values()))) <= ({int, float} if name in QUANTITIES else {str})
        for name in names
    )
