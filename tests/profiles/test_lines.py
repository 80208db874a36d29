from __future__ import annotations

import tomllib
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.lines import LONGEST_STATEMENT, line_of, lines_of

TEXT = '''\
# A comment, and an empty line.

name = "x"
"quoted" = 1
bed.size_mm = [
  1,
  2,
]
[motion]
x_mm = [0, 1]   # [not] = "a key"
note = """
[[adjuster]]
name = 'no'
"""
[ height . screw ]
thread = "M3"
[[adjuster]]
name = "a.b [1] (c)"
[[adjuster]]
at_mm = [1, 2]
[[compensation.check]]
name = "one"
[[compensation.check]]
name = "two"
kinds = [ { name = "in one line", u = 1 } ]
'''


def lines() -> dict[str, int]:
    return lines_of(TEXT, tomllib.loads(TEXT))


@pytest.mark.parametrize(
    ("key", "line"),
    [
        ("name", 3),
        ("quoted", 4),
        ("bed.size_mm", 5),
        ("bed.size_mm[2]", 5),
        ("motion", 9),
        ("motion.x_mm[1]", 10),
        ("motion.missing", 9),
        ("height.screw.thread", 16),
        ("height.screw.head", 15),
        ('adjuster 1 ("a.b [1] (c)").name', 18),
        ('adjuster 1 ("a.b [1] (c)").thread', 17),
        ("adjuster 2.at_mm[1]", 20),
        ("adjuster 2", 19),
        ('compensation.check 2 ("two").name', 24),
        ('compensation.check 2 ("two").kinds 1 ("in one line").u', 25),
        ("nowhere", None),
        ("", None),
    ],
)
def test_each_key_is_found_on_its_line_or_on_that_of_its_table(key: str, line: int | None) -> None:
    assert line_of(key, lines()) == line


def test_a_list_of_very_many_lines_ends_the_search_and_harms_nothing() -> None:
    text = "a = 1\nb = [\n" + "1,\n" * LONGEST_STATEMENT + "]\nc = 2\n"
    assert lines_of(text, tomllib.loads(text)) == {"a": 1}


names = st.text(min_size=1, max_size=5)
plain = st.one_of(
    st.integers(-9, 9), st.booleans(), st.text(max_size=5), st.lists(st.integers(0, 9), max_size=3)
)


def _quoted(text: str) -> str:
    return '"' + "".join(f"\\U{ord(c):08x}" for c in text) + '"'


def _written(value: object) -> str:
    if isinstance(value, str):
        return _quoted(value)
    return str(value).lower() if isinstance(value, bool) else str(value)


@settings(max_examples=60, deadline=None)
@given(st.dictionaries(names, st.dictionaries(names, plain, max_size=3), max_size=4), st.integers(0, 3))
def test_of_any_tables_each_key_is_found_where_it_was_written(tables: dict[str, Any], gap: int) -> None:
    text, wanted = [""] * gap, []
    for name, keys in tables.items():
        text += [f"[{_quoted(name)}] # [x]"]
        for key, value in keys.items():
            wanted.append(len(text) + 1)
            text += [f"{_quoted(key)} = {_written(value)}"] + [""] * gap
    whole = "\n".join(text)
    found = lines_of(whole, tomllib.loads(whole))
    assert set(wanted) <= set(found.values())
