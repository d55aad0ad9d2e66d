"""``kit``: everything to make, pack and send one sold job, in a folder of its own."""
