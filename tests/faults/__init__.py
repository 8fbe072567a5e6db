"""Faults on purpose, with real processes: what was sent must end well, once, and leave nothing."""
