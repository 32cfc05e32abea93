"""Planning for a leader: fitting a slot, building up by weeks, plans to start from."""
