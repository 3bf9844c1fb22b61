"""Who may call, what it may spend, and whose turn it is.

Keys and routes are looked at before a body is read; the rest of a request's cost is taken once it has been.
"""
