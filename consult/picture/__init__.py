"""The caller on the chair at the desk, seen from the side, to scale."""
