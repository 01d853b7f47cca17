"""Calls kept on this machine."""
