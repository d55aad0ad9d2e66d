"""A part on holes as drilled, and what a rescue leaves behind."""
