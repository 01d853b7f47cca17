"""What an exercise is marked on: every criterion a small pure function of what happened."""
