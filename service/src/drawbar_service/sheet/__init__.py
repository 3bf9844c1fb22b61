"""The field sheet as a page to print."""
