"""Reads a finished page back with the standard library's parser."""
