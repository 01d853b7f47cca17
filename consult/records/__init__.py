"""Calls stored on this machine or in a shared database."""
