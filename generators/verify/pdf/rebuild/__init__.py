"""A part rebuilt from the words of its finished drawing alone, and held against its plan."""
