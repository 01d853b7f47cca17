"""Simulated callers: bodies drawn from the survey population, and their answers."""
