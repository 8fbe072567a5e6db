"""The lesson (one visit) and the frame of its page. Knows nothing of what is put into it."""
