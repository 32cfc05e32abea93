"""Key positions of one seated figure, and what they ask of a body."""
