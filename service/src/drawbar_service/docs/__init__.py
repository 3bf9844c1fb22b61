"""Pages for people: documentation that works offline."""
