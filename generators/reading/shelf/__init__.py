"""The shop's shelf: its file, what a spec takes of it, and what of it goes along with a job."""
