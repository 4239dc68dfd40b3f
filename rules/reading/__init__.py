"""Reading the tables of the book: one module for each kind of row."""
