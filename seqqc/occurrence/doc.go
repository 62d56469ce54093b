// Package occurrence writes a batch as a Darwin Core archive: a zip with a table
// of occurrences, its extensions for DNA-derived data and for the history of
// identifications, meta.xml that says what the columns are, and an eml.xml
// about the whole.
//
// Sources: Darwin Core text guide (TDWG, http://rs.tdwg.org/dwc/terms/guides/text/),
// Darwin Core terms of 2025-07-10, the DNA-derived data extension of GBIF of
// 2024-07-11, EML 2.1.1. Row types are from memory.
package occurrence
