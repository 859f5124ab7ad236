"""What a person gets who installs Halfstop: the wheel."""
