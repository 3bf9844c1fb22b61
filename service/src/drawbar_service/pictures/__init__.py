"""Pictures of curves, drawn with matplotlib, which only this package knows and only the first picture loads."""
