"""What a leader may have overlooked in a plan, and how much work a class is."""
