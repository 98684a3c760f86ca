"""What the package offers, folder by folder: the public names of each, with their documentation."""

from __future__ import annotations

import inspect
import pkgutil
from functools import cache
from importlib import import_module

import ledcalc
from ledcalc.docs.source_reading import Documented, documented

__all__ = ["exported", "folder_sentence", "public_by_folder"]

# In the order of the work; what is not named here follows in the order of the alphabet.
FIRST = (
    "",
    "wiring",
    "circuit",
    "heat",
    "photons",
    "bench",
    "cost",
    "fabrication",
    "building",
    "calibrate",
    "variants",
)
# Rooms without functions that a script would call.
LEFT_OUT = ("commands", "docs", "schema", "checks", "evaluation", "demo")


@cache
def public_by_folder() -> dict[str, tuple[Documented, ...]]:
    """Return folder -> its public functions and classes; the empty name stands for the package itself."""
    folders = [module.name for module in pkgutil.iter_modules(ledcalc.__path__) if module.ispkg]
    order = [*FIRST, *(name for name in sorted(folders) if name not in {*FIRST, *LEFT_OUT})]
    found = {folder: _public(folder) for folder in order}
    return {folder: names for folder, names in found.items() if names}


def _public(folder: str) -> tuple[Documented, ...]:
    package = import_module(f"ledcalc.{folder}" if folder else "ledcalc")
    by_place = {(entry.place, entry.name): entry for entry in documented()}
    things = [inspect.unwrap(getattr(package, name)) for name in getattr(package, "__all__", ())]
    defined = [thing for thing in things if inspect.isfunction(thing) or inspect.isclass(thing)]
    keys = [(_place(thing.__module__), thing.__qualname__) for thing in defined]
    return tuple(by_place[key] for key in keys if key in by_place)


def _place(module: str) -> str:
    """Return a module's name as folder/file; a folder's own code is its ``__init__``."""
    place = "/".join(module.split(".")[1:])
    return place if any(entry.place == place for entry in documented()) else f"{place}/__init__".lstrip("/")


@cache
def exported() -> frozenset[tuple[str, str]]:
    """Return (place, name) of everything that a folder offers."""
    return frozenset((entry.place, entry.name) for names in public_by_folder().values() for entry in names)


def folder_sentence(folder: str) -> str:
    """Return what a folder says of itself."""
    text = import_module(f"ledcalc.{folder}" if folder else "ledcalc").__doc__ or ""
    return " ".join(text.strip().split("\n\n")[0].split())
