"""The tree language: loading with line marks, conditions, checking."""
