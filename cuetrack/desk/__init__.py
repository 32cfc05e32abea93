"""The desk: a class planned, heard and made in the leader's own browser."""
