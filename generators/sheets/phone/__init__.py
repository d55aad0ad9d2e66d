"""The install sheet as one page for a phone: works offline, steps to tick, a view of the assembly that turns."""
