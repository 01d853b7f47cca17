"""What is certain about a tree for every caller there could be, and callers who show the rest."""
