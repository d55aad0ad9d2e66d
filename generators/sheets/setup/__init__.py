"""The setup sheet as a page: each bend as a picture that moves, in one file that needs no network."""
