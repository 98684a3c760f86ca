"""The dataclasses of a fixture and the input schema say the same: names, order, defaults."""

import dataclasses

import pytest

from ledcalc.fixture import Fixture, Site
from ledcalc.records import ROW_TYPES
from ledcalc.schema import default_value, parse, sheet, sheets
from ledcalc.units import UNITS, name_unit

TYPES = {**ROW_TYPES, "site": Site}


@pytest.mark.parametrize("key", TYPES)
def test_dataclass_fields_are_the_schema_fields(key):
    fields = dataclasses.fields(TYPES[key])
    assert [field.name for field in fields] == [field.name for field in sheet(key).fields]


def test_fixture_begins_with_the_fixture_sheet():
    names = [field.name for field in dataclasses.fields(Fixture)]
    own = [field.name for field in sheet("fixture").fields]
    assert names[: len(own)] == own


@pytest.mark.parametrize("key", [*TYPES, "fixture"])
def test_dataclass_defaults_are_the_schema_defaults(key):
    fields = {field.name: field for field in dataclasses.fields(TYPES.get(key, Fixture))}
    for entry in sheet(key).fields:
        default = fields[entry.name].default
        if entry.required:
            assert default is dataclasses.MISSING, entry.path
        else:
            assert default == default_value(entry), entry.path


def test_every_field_has_label_help_and_a_unit_that_its_name_ends_in():
    for part in sheets():
        for field in part.fields:
            assert field.label, field.path
            assert field.help.endswith("."), field.path
            if field.kind == "number" and field.units:
                assert name_unit(field.name) == field.unit, field.path
                assert field.unit in field.units, field.path
                assert all(symbol in UNITS for symbol in field.units), field.path


def test_labels_are_unique_within_a_sheet():
    for part in sheets():
        labels = [field.label.casefold() for field in part.fields]
        assert len(labels) == len(set(labels)), part.key


def test_defaults_lie_within_their_own_limits():
    for part in sheets():
        for field in part.fields:
            if field.default is not None:
                assert parse(field, field.default, field.unit) == default_value(field), field.path
