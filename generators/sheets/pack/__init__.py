"""``print_me.pdf``: page one, an overview, the sheets, the tables and the install sheet in one file."""
