"""Charts: one description, drawn by plotly on the page and by SVG on paper."""
