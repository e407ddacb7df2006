"""The bin: a deleted contest can be had back for thirty days."""
