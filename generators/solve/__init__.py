"""A job solved in stages: parts, places, pedals, hoses, brackets, findings. No files, no finite elements."""
