"""Bodies that the judge calls sound, to be spoiled: small scripts with a `design` function."""
