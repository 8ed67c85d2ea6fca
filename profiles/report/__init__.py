"""One report for every reader: headings, paragraphs, tables, figures, facts and cautions.

    report = Report("Helm desk", (Table(columns, rows, key="pins"), Paragraph("Nothing free.")))
    render_text(report), render_json(report)

A report holds plain values and the user's own words; each renderer makes them harmless where it
writes them. People and machines get the same rows.

| module | what is there |
|---|---|
| `document` | `Report` and its blocks; imports nothing |
| `columns` | widths of columns and wrapped cells, in mm or letters |
| `terminal` | text, wrapped to a terminal's width where there is one |
| `data` | JSON and CSV |
| `page` | one HTML file |
| `paper` | sheets of paper, through `drawing` |
"""
