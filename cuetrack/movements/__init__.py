"""What a movement does to a body: key positions, and the figure drawn from them."""
