"""Board files and what is made from them."""
