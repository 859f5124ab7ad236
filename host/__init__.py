"""Commands for the maker's computer: python -m host VERB."""
