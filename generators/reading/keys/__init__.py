"""Tables of a spec that need more than their declaration to be read."""
