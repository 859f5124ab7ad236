"""The maker's commands."""
