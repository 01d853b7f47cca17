"""The impact of an edit: the same callers run through the old tree and the new one."""
