"""The hardware contract (contract.py) and the drivers that fulfil it."""
