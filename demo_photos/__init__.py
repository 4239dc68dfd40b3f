"""The demo case: rendered photos of an invented car, and what was seen on them."""
