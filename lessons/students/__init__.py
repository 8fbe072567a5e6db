"""Students, their guardians, consent and cautions."""
