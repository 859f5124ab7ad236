"""Tests of firmware/stage."""
