"""What is asked and answered between visits: threads of messages, and check-in clips."""
