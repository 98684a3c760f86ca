"""The input schema: every sheet and field as data, and the checks that follow from it."""

from ledcalc.schema.cabling import lead_sets_at, wire_end
from ledcalc.schema.contradictions import record_problems
from ledcalc.schema.letter_case import names_as_listed
from ledcalc.schema.light_blocks import block_keys
from ledcalc.schema.limits import limit_problems
from ledcalc.schema.model import SCHEMA_VERSION, Bound, Field, Sheet, sheet, sheets
from ledcalc.schema.record import Record, RecordProblem, Records, board_tags
from ledcalc.schema.values import UNWRITABLE, CellValue, Refusal, Value, default_value, parse, range_refusal

__all__ = [
    "SCHEMA_VERSION",
    "UNWRITABLE",
    "Bound",
    "CellValue",
    "Field",
    "Record",
    "RecordProblem",
    "Records",
    "Refusal",
    "Sheet",
    "Value",
    "block_keys",
    "board_tags",
    "default_value",
    "lead_sets_at",
    "limit_problems",
    "names_as_listed",
    "parse",
    "range_refusal",
    "record_problems",
    "sheet",
    "sheets",
    "wire_end",
]
