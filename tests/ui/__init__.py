"""Tests of firmware/ui."""
