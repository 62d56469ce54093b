// Package ledger keeps what a club found over the years in one SQLite file:
// vouchers, barcodes, verdicts and decisions by batch, the codes of barcodes
// that no reference names, and what newer references changed.
//
// The file is in WAL mode with foreign keys and full synchronisation: what Add
// reported is there after a crash, and a batch is there whole or not at all
// (SQLite, "Atomic Commit" and "Write-Ahead Logging"). Several processes may
// use it at once; a writer waits for the other for as long as Options.Wait.
package ledger
