"""Evaluates a table of variants of one fixture, one after another; a bad variant is marked and never stops the rest."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import pandas as pd

from ledcalc.errors import LedcalcError
from ledcalc.evaluate import evaluate
from ledcalc.findings import count_by_severity
from ledcalc.fixture import Fixture
from ledcalc.records import with_values
from ledcalc.schema import Value

