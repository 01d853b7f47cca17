"""Practice on invented callers: who calls, what they say, and the exercise an adviser leads."""
