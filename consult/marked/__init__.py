"""YAML files that people write, read with the place of every node, and held against a schema."""
