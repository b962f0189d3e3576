"""Entering a motor from its data sheet, and importing parts from a table."""
