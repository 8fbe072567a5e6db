"""The coach's library of drills, and what was given in a lesson with its dose."""
