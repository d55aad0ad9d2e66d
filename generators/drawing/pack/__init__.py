"""One set of sheets for the whole job: which to print, page one, the overview, the tables."""
