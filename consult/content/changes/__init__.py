"""Differences between two trees, or two folders of them, in words for the content lead."""

from consult.content.changes.folders import changed_beside, changed_folders, changed_trees
from consult.content.changes.trees import changes
from consult.content.changes.words import Change

__all__ = ["Change", "changed_beside", "changed_folders", "changed_trees", "changes"]
