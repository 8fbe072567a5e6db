"""The coach's domain: one small Django app a concept."""
