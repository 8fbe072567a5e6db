"""Letters: a row first, then a worker sends it. Knows nothing of what they are about."""
