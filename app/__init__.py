"""Ampturn's window and commands: the only place that knows Qt."""

import os

# Matrices have ten rows: more threads of the linear algebra gain nothing, but take a third of the processor
# time of a start by waiting busily. It must stand before numpy is loaded.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
