"""What the sheets say of bolts: one wording for steps, lists and the bill."""
