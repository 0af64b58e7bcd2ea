"""The report: one page of HTML, one JSON document, or text."""
