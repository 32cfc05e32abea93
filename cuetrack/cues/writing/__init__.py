"""What is said: cues with their wordings, from the plan and its timeline."""
