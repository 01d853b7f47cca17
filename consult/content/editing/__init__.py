"""Edits of trees that leave every other line as it is, and the folder being edited."""
