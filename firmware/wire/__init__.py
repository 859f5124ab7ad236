"""Bytes on a line: pure encode and decode."""
