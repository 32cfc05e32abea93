"""A leader's own voice: what is to be read, and the clips cut from what was read."""
