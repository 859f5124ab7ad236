"""What is kept: personalities, fixtures, rig, looks; load and save."""
