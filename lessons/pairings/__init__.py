"""Pairings: two or three swings side by side, lined up at a position, and what is saved of them."""
