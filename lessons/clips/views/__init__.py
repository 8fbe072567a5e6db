"""The pages of clips and stills."""
