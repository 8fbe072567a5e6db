"""Rows of work in flight: who holds one, for how long, and how a lost one comes back.

The row is the truth. A message to a worker is only a hint that it is there: a lost message, a
killed worker or a lost broker delays the work until the next sweep and never loses it.
"""
