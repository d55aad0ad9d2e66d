"""A part on holes as drilled: the best lay, its chance, and the smallest rescue."""
