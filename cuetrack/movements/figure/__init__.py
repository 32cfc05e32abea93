"""The figure: pictures of a movement drawn from its key positions."""
