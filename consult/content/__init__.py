"""The content desk: what an edit of a tree says, and what it would change for callers."""
