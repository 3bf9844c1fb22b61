"""The page at ``/``: pick or describe a match and read the answer. It asks the service as any client does."""
