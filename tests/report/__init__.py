"""A bill of checks: what the program computes beside what is published. ``python -m tests.report`` prints it."""
