"""What screen, paper and command line say alike: pairs, yarn stock, care, the shelf, a class, a session's story."""
