"""The commands, one file each; loaded only when used, so that ``--help`` starts fast."""
