"""Where a neck screw may stand on the heel, and which pattern of screws holds the string pull
best."""
