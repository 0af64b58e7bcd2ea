"""Where a neck screw may stand on the heel, and which pattern holds the string pull best."""
