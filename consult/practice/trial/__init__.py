"""Whether the score tells good advisers from bad: advisers of known skill, many drawn callers."""
