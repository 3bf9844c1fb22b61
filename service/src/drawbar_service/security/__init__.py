"""Who may call, how often, and how many at the same time.

Everything here works on headers and on the route that was found, before a body is read.
"""
