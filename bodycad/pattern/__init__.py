"""Where a neck screw may stand on the heel, and the widest pattern that holds every load."""
