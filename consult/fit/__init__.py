"""What fits this body: requirements for chair and desk, and the workplace solved as one."""
