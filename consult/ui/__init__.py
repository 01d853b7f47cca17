"""Screens and widgets. No rules in here: keys become answers, state becomes text."""
