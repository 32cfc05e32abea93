"""Changes of a document as the smallest edits of its text."""
