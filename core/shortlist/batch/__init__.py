"""The candidates of a chunk, evaluated side by side: all margins of the single evaluation, same numbers."""

from core.shortlist.batch.chunk import evaluate_chunk

__all__ = ["evaluate_chunk"]
