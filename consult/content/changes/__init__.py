"""Differences between two trees, or two folders of them, in words for the content lead."""
