"""The page: content as data (`content`, `plots`), drawn (`draw`) and written as HTML (`render`)."""
