"""Changes to the program, one at a time, that a test should notice: what they are is in change.py, which tests are run
for each in areas.py."""
