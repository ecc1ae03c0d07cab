"""Whether a key was dropped on reading: the count that answers it cheaply never says yes where a key stands twice."""

import json

from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic_core import from_json

from pitbench.store.contents import _each_key_once

KEYS = st.text(st.sampled_from('ab:" \\{}\n'), max_size=3)
BLANKS = st.sampled_from(["", "", "", " ", "\n", "\t", "\r"])
LEAVES = st.one_of(st.none(), st.integers(0, 9), st.text(st.sampled_from('ab:" \\,{}é'), max_size=5))


@st.composite
def written(draw, depth=3):
    """The text of an object whose keys may stand twice, blanks anywhere, and letters as escapes now and then."""
    members = []
    for _ in range(draw(st.integers(0, 4))):
        key = json.dumps(draw(KEYS), ensure_ascii=draw(st.booleans()))
        if draw(st.integers(0, 5)) == 0:
            key = key.replace(":", "\\u003a")
        members.append(f"{draw(BLANKS)}{key}{draw(BLANKS)}:{draw(BLANKS)}{draw(value(depth))}")
    return "{" + ",".join(members) + draw(BLANKS) + "}"


@st.composite
def value(draw, depth):
    kind = draw(st.integers(0, 3)) if depth else 0
    if kind == 1:
        return draw(written(depth=depth - 1))
    if kind == 2:
        return "[" + ",".join(draw(st.lists(value(depth=depth - 1), max_size=3))) + "]"
    return json.dumps(draw(LEAVES), ensure_ascii=draw(st.booleans()))


def some_key_twice(text):
    """By another parser, one object at a time."""
    found = []

    def seen(pairs):
        found.append(len(dict(pairs)) < len(pairs))
        return dict(pairs)

    json.loads(text, object_pairs_hook=seen)
    return any(found)


@settings(max_examples=600)
@given(written())
def test_a_key_that_stands_twice_is_never_counted_as_once(text):
    raw = text.encode()
    if _each_key_once(raw, from_json(raw)):
        assert not some_key_twice(text)


@settings(max_examples=300)
@given(st.recursive(st.text("abé 1", max_size=4), lambda one: st.lists(one) | st.dictionaries(st.text("ab"), one)))
def test_what_a_json_writer_makes_of_plain_words_is_seen_at_once(tree):
    for raw in (json.dumps({"a": tree}), json.dumps({"a": tree}, indent=1)):
        assert _each_key_once(raw.encode(), from_json(raw))
