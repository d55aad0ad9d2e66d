"""The live page: a spec drawn anew at every save, and changed by hand on the picture."""
