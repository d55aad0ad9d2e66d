"""The rows of a finished inspection sheet: how they are read, what they say, and that none is missing."""
