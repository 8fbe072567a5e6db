"""Findings, write-up, preview, posting, and the page the student reads."""
