"""For the content lead: edits of trees, their impact on callers, proofs and versions."""
