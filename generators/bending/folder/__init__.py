"""The box-and-pan folder: what it is made of, how its leaf swings, and one bend tried on it."""
