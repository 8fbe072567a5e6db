"""Drawing on stills: vectors in the still's own coordinates."""
