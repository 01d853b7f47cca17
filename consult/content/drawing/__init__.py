"""Drawings and pages of trees, for people who do not read YAML."""
