"""A series of lessons with aims, and the road from its first lesson to now."""
