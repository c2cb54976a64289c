"""cutpath: from tape readings to stair stringers that a machine cuts."""
