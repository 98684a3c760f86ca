"""Texts for wire labels."""

from __future__ import annotations

from ledcalc.errors import ArgumentError

__all__ = ["wire_label"]


def wire_label(tag: str, from_place: str, to_place: str, *, size: str = "", polarity: str = "") -> str:
    """Return the text of a wire's label.

    Parameters
    ----------
    tag : the wire's own name
    from_place, to_place : what it joins
    size : conductor size, such as ``"18 AWG"``; empty: left out
    polarity : ``"+"``, ``"-"`` or any other word; empty: left out

    Raises
    ------
    ArgumentError (a ValueError): a tag or an end without text

    Validity
    --------
    One line; white space runs together.

    Examples
    --------
    >>> wire_label("W3", "PSU1", "B2", size="18 AWG", polarity="+")
    'W3 + | PSU1 > B2 | 18 AWG'
    """
    for argument, text in (("tag", tag), ("from_place", from_place), ("to_place", to_place)):
        if not text.strip():
            raise ArgumentError(argument, text, "a text that is not empty")
    parts = (f"{tag} {polarity}", f"{from_place} > {to_place}", size)
    return " | ".join(" ".join(part.split()) for part in parts if part.strip())
