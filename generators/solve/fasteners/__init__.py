"""The bolts, washers and nuts of a job: what is bolted where, how long, and how hard it is done up."""
