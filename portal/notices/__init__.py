"""Notices by letter and push: what each person wants, when, and how it reaches them.

Knows nothing of what the notices are about: rooms above register their kinds and call `tell`.
"""
