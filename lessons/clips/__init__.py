"""Clips and stills: taking in, preparing, playing. Knows nothing of marks or recaps."""
