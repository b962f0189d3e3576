"""Many candidates evaluated side by side: all margins of the single evaluation, with the same numbers.

The flow of a chunk, which reads off `chunk.py`:

    parts -> distinct motors, courses and choices      choices, engine, machines, courses
    margins that parts alone decide                    by_parts
    torque, current, voltage, speed, supply            electric, feeding
    necessary conditions                               necessary
    temperatures, torque reserve, ripple of the rest   heat, heat_rows, states, reserve, lasting, ripple
    heat that is not computed side by side             singly

Margins are put on a `MarginBoard`, one column per criterion. Whatever distinct parts mean is made by the very
functions of `core.evaluation` and kept from chunk to chunk (`Engine`); what depends on the cycle is their
equations over arrays. A new criterion or a changed equation of the single evaluation needs its counterpart
here: `tests/core/test_shortlist_batch.py` compares both on random candidates.
"""

from core.shortlist.batch.chunk import evaluate_chunk

__all__ = ["evaluate_chunk"]
