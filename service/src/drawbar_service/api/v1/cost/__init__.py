"""Cost: owning, running, wearing parts, hire, width."""
