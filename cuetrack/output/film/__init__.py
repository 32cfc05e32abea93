"""The film of a class: its track with a moving picture, for a television or a phone."""
