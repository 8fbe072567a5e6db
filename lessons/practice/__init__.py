"""What the student does between visits, and what is kept of it."""
