"""Commands that write pages to read."""
