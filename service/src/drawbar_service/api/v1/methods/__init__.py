"""Methods: the equations behind an answer."""
