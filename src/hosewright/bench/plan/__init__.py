"""Planning a sock, and what is worked out from one gauge: cylinders, sizes, the dial response."""
