"""The coach's first page: who has practised, who needs a word first."""
