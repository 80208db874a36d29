from __future__ import annotations

from collections.abc import Iterator

import msgspec
import pytest
from msgspec import inspect

from profiles import keys
from profiles.load import load, shipped
from profiles.machine import Machine


def parts(kind: inspect.Type) -> Iterator[type[msgspec.Struct]]:
    if isinstance(kind, inspect.StructType):
        yield kind.cls
        for field in kind.fields:
            yield from parts(field.type)
    elif isinstance(kind, inspect.UnionType):
        for each in kind.types:
            yield from parts(each)
    elif isinstance(kind, inspect.VarTupleType):
        yield from parts(kind.item_type)


EVERY = sorted(
    {
        (part, field)
        for part in parts(inspect.type_info(Machine))
        for field in part.__struct_fields__
        if not isinstance(getattr(part, field, None), msgspec.Struct)
    },
    key=lambda each: (each[0].__name__, each[1]),
)
TABLES = {
    ("Machine", name) for name in ("bed", "motion", "first_layer", "height", "heat", "gauge", "adjuster")
}
TABLES |= {("Machine", "point"), ("Machine", "probe"), ("Machine", "compensation"), ("Machine", "print")}


@pytest.mark.parametrize(
    ("part", "field"), [each for each in EVERY if (each[0].__name__, each[1]) not in TABLES]
)
def test_every_key_of_a_profile_has_a_few_words_on_it(part: type[msgspec.Struct], field: str) -> None:
    assert keys.about(part, field)


def test_every_range_belongs_to_a_key_that_is_there() -> None:
    known = {f"{part.__name__}.{field}" for part, field in EVERY}
    assert set(keys.RANGES) <= known


@pytest.mark.parametrize("name", sorted(shipped()))
def test_a_number_on_the_bounds_is_allowed_and_beyond_them_is_told(name: str) -> None:
    machine = load(name)
    assert list(keys.faults(machine)) == []
    for baud, wrong in ((1200, 0), (1199, 1), (4_000_000, 0), (4_000_001, 1)):
        motion = msgspec.structs.replace(machine.motion, baud=baud)
        assert len(list(keys.faults(msgspec.structs.replace(machine, motion=motion)))) == wrong
