"""What people write, as text with places: trees, times, names and problems."""
