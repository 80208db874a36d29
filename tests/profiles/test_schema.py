from __future__ import annotations

import tomllib
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from profiles.load import problems_of, shipped
from profiles.schema import schema
from profiles.write import toml_of


@pytest.fixture(scope="module")
def validator() -> Draft202012Validator:
    whole = schema()
    Draft202012Validator.check_schema(whole)
    return Draft202012Validator(whole)


@pytest.mark.parametrize("name", sorted(shipped()))
def test_every_shipped_profile_is_valid(validator: Draft202012Validator, name: str) -> None:
    document = tomllib.loads(shipped()[name].read_text("utf-8"))
    assert [error.message for error in validator.iter_errors(document)] == []


@pytest.mark.parametrize(
    ("table", "key", "value"),
    [
        ("bed", "thickness_mm", 0.05),
        ("bed", "size_mm", [220]),
        ("bed", "size_mm", [220, 5000]),
        ("bed", "shape", "oval"),
        ("bed", "thicknes_mm", 3),
        ("motion", "baud", 9),
        ("motion", "baud", 9600.5),
        ("motion", "clearance_mm", "high"),
        ("heat", "max_bed_c", 300),
        ("gauge", "leaves_mm", [0.05, 9.0]),
        ("gauge", "card_mm", 0.001),
        ("height", "by", "magic"),
    ],
)
def test_what_an_editor_marks_is_what_the_check_refuses(
    validator: Draft202012Validator, document: dict[str, Any], table: str, key: str, value: object
) -> None:
    document[table][key] = value
    assert list(validator.iter_errors(document))
    assert any(f"{table}.{key}" in told for told in problems_of(toml_of_any(document), "mine.toml"))


def toml_of_any(document: dict[str, Any]) -> str:
    """Write tables plainly, keys that nobody knows too."""
    lines = [f"{key} = {_plain(value)}" for key, value in document.items() if not _is_table(value)]
    for name, value in document.items():
        for each in (value if isinstance(value, list) else [value]) if _is_table(value) else []:
            lines.append(f"[[{name}]]" if isinstance(value, list) else f"[{name}]")
            lines += [f"{key} = {_plain(item)}" for key, item in each.items()]
    return "\n".join(lines)


def _is_table(value: object) -> bool:
    return isinstance(value, dict) or (isinstance(value, list) and bool(value) and isinstance(value[0], dict))


def _plain(value: object) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key} = {_plain(item)}" for key, item in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_plain, value)) + "]"
    return repr(value).replace("'", '"') if not isinstance(value, bool) else str(value).lower()


def test_a_key_is_explained_and_its_range_told(validator: Draft202012Validator) -> None:
    told = schema()["$defs"]["Motion"]["properties"]["clearance_mm"]
    assert "height of every sideways move" in told["description"]
    assert schema()["$defs"]["Motion"]["properties"]["baud"]["minimum"] == 1200
    assert toml_of({"name": "x"}).endswith(
        'name = "x"                        # the machine\'s name, as it is shown\n'
    )


def test_nothing_in_it_allows_a_null_which_toml_cannot_say() -> None:
    assert '"null"' not in str(schema()).replace("'", '"')
