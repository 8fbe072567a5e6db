"""Pages of pairings, and of what is saved of them."""
