"""The command line: parse, call, show. ``main.main`` is its door."""
