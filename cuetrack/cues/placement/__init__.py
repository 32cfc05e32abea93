"""When it is said: exact placement, with the reason for each loss."""
