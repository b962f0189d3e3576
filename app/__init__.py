"""Ampturn's window and commands: the only place that knows Qt."""
