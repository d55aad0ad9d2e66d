"""Two states of a job side by side: what differs, and what may still be used."""
