// Package deposit makes a folder that can be handed to a public sequence
// archive: sequences with source modifiers, tables, what was left out and why,
// and a checklist. Check holds any such FASTA against the archives' rules.
//
// The rules come from the feature table of the INSDC (v11.3, October 2024:
// /geo_loc_name, /lat_lon, /collection_date, /specimen_voucher), its notice of
// 2023-12-14 on required values, and its list of missing-value terms. A rule
// marked fromMemory was written down without the page at hand.
package deposit
