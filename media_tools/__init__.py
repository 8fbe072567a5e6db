"""Video computation on files and arrays. Imports no Django; usable alone."""
