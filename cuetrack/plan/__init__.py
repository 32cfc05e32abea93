"""The plan: what the leader wrote, read, checked and kept as frozen values."""
