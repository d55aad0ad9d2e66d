"""Reads finished files back and compares them with the plan; never looks at how they were made."""
