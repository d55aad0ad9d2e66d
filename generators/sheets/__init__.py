"""Paper and tables to read from: the report, the install sheet, the hole table."""
