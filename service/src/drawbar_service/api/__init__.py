"""The wire: reading requests, writing answers, and saying what was wrong."""
