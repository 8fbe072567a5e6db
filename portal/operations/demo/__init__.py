"""The invented practice ground of the demo: its people, films, lessons and practice.

Nothing outside this folder knows of it, and nothing in it is about a real person.
"""
