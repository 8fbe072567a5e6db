"""The commands a host runs: serve, demo, health, backup, restore, sweep."""
