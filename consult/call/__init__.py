"""One call: answers in, state out. No clock and no files here; the caller passes them in."""
