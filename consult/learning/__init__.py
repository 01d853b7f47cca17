"""What a maker's own calls show: whether stated odds came true, and which assumptions are off.

Everything here is a pure function of what the records give; nothing is changed without being
proposed and accepted.
"""
