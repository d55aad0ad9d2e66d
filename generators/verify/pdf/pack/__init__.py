"""Reads a finished pack back: each page, what page one says of it, each hole with what it is laid by."""
