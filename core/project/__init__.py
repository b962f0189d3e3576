"""What a project file holds: frozen values with their rules, edits, reading and writing."""
