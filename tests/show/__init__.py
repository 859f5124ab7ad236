"""Tests of firmware/show."""
