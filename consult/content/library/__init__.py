"""Versions of the trees: edit a draft, publish it, restore an earlier version."""
