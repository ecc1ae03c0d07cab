"""From the bytes of a file to a logbook's tables, or to what is wrong with them in a clause for a person.

A tree is what TinyDB calls tables: {kind: {id: row}}, and the table HEAD with the schema number. Rows are never
changed once they stand in a tree that others can see. A good seal vouches for the rows as far as `rows.showable` does
not ask; any other file is looked through whole (`rows.py`). Nobody else parses a logbook.
"""

import gc
import json
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from pitbench import __version__
from pitbench.records.kinds import KINDS
from pitbench.store import migrations, rows, seal
from pitbench.store.json_text import from_json
from pitbench.store.migrations import SCHEMA, Tree
from pitbench.store.rows import showable
from pitbench.store.seal import Verdict

HEAD = "pitbench"
CHANGES = "changes"
VERSIONS = "versions"


class Flaw(ValueError):
    """What is wrong with the bytes: completes "<file> ..."; `schema` when it could be told."""

    def __init__(self, clause: str, schema: int | None = None) -> None:
        super().__init__(clause)
        self.schema = schema


class NotOurs(Flaw):
    """The file is something else."""


class FromNewer(Flaw):
    """The file comes from a newer pitbench."""


@dataclass(frozen=True)
class Contents:
    """A logbook as read. `problems` are those of single rows; a tree with any is shown to nobody. `vouched`: the
    seal stands for the rows, they were not looked at."""

    tree: Tree
    schema: int = SCHEMA
    seal: Verdict = "good"
    problems: list[str] = field(default_factory=list)
    vouched: bool = False


def new_tree() -> Tree:
    """The tree of an empty logbook."""
    return {HEAD: head()}


def head() -> dict[str, Any]:
    """What stands behind the seal: that the file is ours, and its form."""
    return {"logbook": {"schema": SCHEMA, "written_by": __version__}}


def read(raw: bytes, *, whole: bool = False) -> Contents:
    """The logbook in these bytes; raises a Flaw when they hold none. `whole`: everything is looked at, whatever the
    seal says."""
    sealed = seal.verdict(raw)
    tree = _parsed(raw)
    schema = _schema(tree)
    if whole or sealed != "good":
        _no_key_twice(raw, tree, schema)
    if tree.pop(seal.NAME, None) is not None and sealed == "none":
        sealed = "broken"
    if sealed == "good" and schema == SCHEMA and not whole and _is_showable(tree) and _no_row_has_null(raw, tree):
        return Contents(tree, vouched=True)
    _must_be_tables(tree, schema)
    tree = migrations.upgraded(tree, schema)
    with _no_collecting():
        problems = rows.settle(tree)
    tree[HEAD] = head()
    return Contents(tree, schema, sealed, problems)


def is_good(raw: bytes) -> bool:
    """Whether these bytes are a logbook just as pitbench wrote it, every record looked at: takes long, so only those
    ask who offer, list or restore a backup."""
    try:
        found = read(raw, whole=True)
    except Flaw:
        return False
    return found.seal == "good" and not found.problems


def _parsed(raw: bytes) -> dict[str, Any]:
    if not raw.strip():
        raise Flaw("is empty, a logbook is one JSON object")
    if raw.startswith((b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff")):
        raise Flaw("begins with a byte-order mark, plain UTF-8 without one would be right")
    try:
        with _no_collecting():
            tree = from_json(raw, allow_inf_nan=False, cache_strings="all")
    except (ValueError, RecursionError, OverflowError) as error:
        raise Flaw(f"is no readable JSON ({_where(error)})") from None
    if not isinstance(tree, dict):
        raise NotOurs("is JSON but no logbook, a logbook is one object with a seal")
    return tree


@contextmanager
def _no_collecting() -> Iterator[None]:
    """Reading makes many objects and no rubbish: looking for rubbish meanwhile costs a fifth of a parse."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _where(error: Exception) -> str:
    """The parser's own words, without the machine's."""
    return re.sub(r"\s+", " ", str(error))[:120] or type(error).__name__


def _schema(tree: dict[str, Any]) -> int:
    try:
        schema = tree[HEAD]["logbook"]["schema"]
    except (KeyError, TypeError):
        raise NotOurs("is JSON but was not written by pitbench, it has no schema number") from None
    if type(schema) is not int or schema < 1:
        raise Flaw(f"has the schema number {str(schema)[:20]!r}, a whole number from 1 to {SCHEMA} would be right")
    if schema > SCHEMA:
        raise FromNewer(
            f"has schema {schema} and was written by a newer pitbench, this one reads up to {SCHEMA}", schema
        )
    return schema


def _no_key_twice(raw: bytes, tree: dict[str, Any], schema: int) -> None:
    """The parser keeps the last of two equal keys without a word, so one would be lost."""
    if _each_key_once(raw, tree):
        return

    def once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        found = dict(pairs)
        if len(found) < len(pairs):
            keys = [key for key, _ in pairs]
            twice = next(key for key in keys if keys.count(key) > 1)
            raise Flaw(f"has {twice[:40]!r} twice in one object, each once would be right", schema)
        return found

    try:
        json.loads(raw, object_pairs_hook=once)
    except Flaw:
        raise
    except (ValueError, RecursionError) as error:
        raise Flaw(f"is no readable JSON ({_where(error)})", schema) from None


def _each_key_once(raw: bytes, tree: dict[str, Any]) -> bool:
    """Whether a count shows that no key was dropped on reading; False is no verdict.

    Every key ends with a quote and a colon. Where no blank stands before any colon, the two stand together, so there
    are at least as many such pairs as keys were written (a text may hold more), and never fewer keys written than read.
    """
    blank_before = any(blank in raw and blank + b":" in raw for blank in (b"\t", b"\n", b"\r", b" "))
    return not blank_before and raw.count(b'":') == _keys_in(tree)


def _keys_in(value: dict[str, Any] | list[Any]) -> int:
    """How many keys stand in all objects of a tree."""
    keys, inner = (len(value), value.values()) if isinstance(value, dict) else (0, value)
    if _NESTING.isdisjoint(map(type, inner)):
        return keys
    return keys + sum(_keys_in(one) for one in inner if type(one) in _NESTING)


_NESTING = {dict, list}


def _is_showable(tree: Tree) -> bool:
    return tree.keys() <= _KNOWN and tree[HEAD].keys() == head().keys() and showable(tree)


def _no_row_has_null(raw: bytes, tree: Tree) -> bool:
    """Whether every null stands beside the records, as in the list of changes: blank fields are not stored, so nobody
    who shows a row expects one. False is no verdict, a text may say it too."""
    return raw.count(b"null") == _nulls_in({name: table for name, table in tree.items() if name not in KINDS})


def _nulls_in(value: object) -> int:
    if isinstance(value, dict | list):
        return sum(map(_nulls_in, value.values() if isinstance(value, dict) else value))
    return int(value is None)


def _must_be_tables(tree: Tree, schema: int) -> None:
    """A table pitbench does not know is a flaw, and what should be a table of rows but is none."""
    for kind in sorted(tree):
        if kind not in _KNOWN:
            raise Flaw(f"has a table {kind[:40]!r} that pitbench does not know, without it would be right", schema)
        table: Any = tree[kind]
        if type(table) is not dict or not {dict}.issuperset(map(type, table.values())):
            raise Flaw(f"has no table of records under {kind!r}, an object of objects would be right", schema)


_KNOWN = {HEAD, CHANGES, VERSIONS, *KINDS}
