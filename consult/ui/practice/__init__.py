"""Practice calls at the desk: choosing a caller, leading the call, and the score page."""
