"""Private files: storages, resumable upload (tus 1.0), byte ranges, short-lived links."""
