"""1:1 drill templates: tiles, labels, tables, page one, patches."""
