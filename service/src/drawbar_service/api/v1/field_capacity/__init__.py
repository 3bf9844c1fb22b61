"""Field capacity: area an hour."""
