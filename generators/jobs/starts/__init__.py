"""A spec to begin with, and the list of what must be measured for it."""
