"""The printed case: parametric solids from a board's sizes, STL files and a picture."""
