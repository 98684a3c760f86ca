"""Variants from a file of rows to a file of results, block by block: any length in the same memory, and resumable."""

from ledcalc.streams.run import Streamed, stream_variants
from ledcalc.streams.source import Source, open_source

__all__ = ["Source", "Streamed", "open_source", "stream_variants"]
