"""Ampturn's calculation core: plain Python on numpy and scipy, without any window."""
