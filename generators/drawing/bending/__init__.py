"""The setup sheet of a part: how it is bent, step by step, with a side view of each."""
