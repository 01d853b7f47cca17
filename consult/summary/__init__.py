"""The call summary: one model of what a call came to, and its written forms."""
