"""One spec from several files, in one of its forms."""
