"""The steps of one evaluation: from what the file says to margins. `core.evaluate` holds their order."""
