"""Names of a package that load when they are asked for."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping, Sequence
from importlib import import_module
from typing import Any

__all__ = ["loading"]


def loading(
    package: str, later: Mapping[str, Sequence[str]], modules: Sequence[str] = ()
) -> tuple[Callable[[str], Any], Callable[[], list[str]]]:
    """Return a package's ``__getattr__`` and ``__dir__``.

    Parameters
    ----------
    package : its ``__name__``
    later : modules, as relative imports name them after their first dot -> the names that each is loaded for
    modules : those that are asked for themselves
    """
    module_of = {name: module for module, names in later.items() for name in names}

    def get(name: str) -> Any:
        if name in modules:
            return import_module(f".{name}", package)
        if name not in module_of:
            raise AttributeError(f"module {package!r} has no attribute {name!r}")
        found = getattr(import_module(f".{module_of[name]}", package), name)
        # Asked again, it is there.
        setattr(sys.modules[package], name, found)
        return found

    def names() -> list[str]:
        return sorted({*vars(sys.modules[package]), *module_of, *modules})

    return get, names
