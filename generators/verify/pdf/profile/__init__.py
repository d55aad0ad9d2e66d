"""A finished profile sheet, read: its outlines, how the part stands on them, and which are alike."""
