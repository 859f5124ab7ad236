"""RDM, ANSI E1.20: packets, discovery, the ports, the pages."""
