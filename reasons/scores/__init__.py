"""Entering reasons scores and marks: the lists, the sheets that slips are typed from, and checking them."""
