"""Trees drawn, and written out as a page, for people who read no YAML."""
