package ledger

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
)

// migrations lead from one version of the schema to the next; the version is
// SQLite's user_version. A migration that has been released is never changed:
// what is missing is added by a new one.
var migrations = []string{
	// 1: batches, vouchers, barcodes and decisions.
	`CREATE TABLE batches (
		id INTEGER PRIMARY KEY,
		name TEXT NOT NULL UNIQUE,
		added TEXT NOT NULL,           -- RFC 3339
		library TEXT NOT NULL,
		library_sha256 TEXT NOT NULL,
		program TEXT NOT NULL,
		content_sha256 TEXT NOT NULL   -- of the results and decisions added
	) STRICT;
	CREATE TABLE vouchers (
		id INTEGER PRIMARY KEY,
		batch INTEGER NOT NULL REFERENCES batches(id) ON DELETE CASCADE,
		place INTEGER NOT NULL,        -- in the sheet, from 0
		code TEXT NOT NULL,
		kind TEXT NOT NULL,
		field_id TEXT NOT NULL,
		field_genus TEXT NOT NULL,
		collector TEXT NOT NULL,
		date TEXT NOT NULL,
		verdict TEXT NOT NULL,
		reason_code TEXT NOT NULL,
		dna_taxon TEXT NOT NULL,
		dna_rank TEXT NOT NULL,
		final_name TEXT NOT NULL,
		result TEXT NOT NULL,          -- the voucher's part of results.json
		UNIQUE (batch, code)
	) STRICT;
	CREATE INDEX vouchers_by_code ON vouchers (code);
	CREATE TABLE barcodes (
		id INTEGER PRIMARY KEY,
		voucher INTEGER NOT NULL REFERENCES vouchers(id) ON DELETE CASCADE,
		sample TEXT NOT NULL,
		chosen INTEGER NOT NULL,       -- 1 where the verdict rests on it
		sequence TEXT NOT NULL,        -- on the coding strand
		its_start INTEGER NOT NULL,    -- half-open, 0-based
		its_end INTEGER NOT NULL,
		unnamed INTEGER NOT NULL       -- 1 where it is good and no reference names it
	) STRICT;
	CREATE INDEX barcodes_by_voucher ON barcodes (voucher);
	CREATE TABLE decisions (
		batch INTEGER NOT NULL REFERENCES batches(id) ON DELETE CASCADE,
		place INTEGER NOT NULL,        -- in decisions.jsonl, from 0
		line TEXT NOT NULL,
		PRIMARY KEY (batch, place)
	) STRICT;`,

	// 2: neighbours of barcodes that no reference names, and club codes.
	`ALTER TABLE barcodes ADD COLUMN compared INTEGER NOT NULL DEFAULT 0; -- 1 where its neighbours are known
	CREATE TABLE neighbours (
		a INTEGER NOT NULL REFERENCES barcodes(id) ON DELETE CASCADE,
		b INTEGER NOT NULL REFERENCES barcodes(id) ON DELETE CASCADE,
		identity_pct REAL NOT NULL,
		PRIMARY KEY (a, b)
	) STRICT, WITHOUT ROWID;
	CREATE INDEX neighbours_by_b ON neighbours (b);
	CREATE TABLE club_codes (
		code TEXT PRIMARY KEY,
		state TEXT NOT NULL,           -- open, named, merged or empty
		says TEXT NOT NULL             -- the name, or the code it went into
	) STRICT, WITHOUT ROWID;
	CREATE TABLE club_members (
		-- No foreign key to barcodes: a batch that is added again keeps its codes.
		batch TEXT NOT NULL,
		voucher TEXT NOT NULL,
		sample TEXT NOT NULL,
		code TEXT NOT NULL REFERENCES club_codes(code),
		PRIMARY KEY (batch, voucher, sample)
	) STRICT, WITHOUT ROWID;
	CREATE INDEX club_members_by_code ON club_members (code);
	CREATE TABLE club_history (
		id INTEGER PRIMARY KEY,
		code TEXT NOT NULL REFERENCES club_codes(code),
		at TEXT NOT NULL,              -- RFC 3339
		what TEXT NOT NULL             -- a plain sentence
	) STRICT;`,

	// 3: what a newer library or name table changed.
	`CREATE TABLE rechecks (
		id INTEGER PRIMARY KEY,
		key TEXT NOT NULL UNIQUE,      -- of library, names and settings
		began TEXT NOT NULL,
		ended TEXT NOT NULL,           -- empty while it goes on
		library TEXT NOT NULL,
		library_sha256 TEXT NOT NULL
	) STRICT;
	CREATE TABLE rechecked (
		recheck INTEGER NOT NULL REFERENCES rechecks(id) ON DELETE CASCADE,
		voucher INTEGER NOT NULL REFERENCES vouchers(id) ON DELETE CASCADE,
		change TEXT NOT NULL,          -- empty where nothing changed
		before TEXT NOT NULL,
		after TEXT NOT NULL,
		result TEXT NOT NULL,          -- the new result, empty where nothing changed
		PRIMARY KEY (recheck, voucher)
	) STRICT, WITHOUT ROWID;
	CREATE INDEX rechecked_by_voucher ON rechecked (voucher);`,

	// 4: a recheck that has ended keeps its rows, which hold for the voucher's
	// result as it stands; and whose library that is.
	`DELETE FROM rechecks WHERE ended <> '';
	ALTER TABLE vouchers ADD COLUMN library TEXT NOT NULL DEFAULT ''; -- that of a recheck that was kept, empty for the batch's`,

	// 5: what the searches of a recheck found, for the next library.
	`ALTER TABLE rechecks ADD COLUMN records BLOB; -- keys of the library's records, 8 bytes each
	CREATE TABLE searches (
		recheck INTEGER NOT NULL REFERENCES rechecks(id) ON DELETE CASCADE,
		key BLOB NOT NULL,
		level REAL NOT NULL,           -- this and the next four as in refs.Answer
		window_end REAL NOT NULL,
		identity_pct REAL NOT NULL,
		coverage_pct REAL NOT NULL,
		score REAL NOT NULL,
		records BLOB NOT NULL,         -- keys of those found
		PRIMARY KEY (recheck, key)
	) STRICT, WITHOUT ROWID;`,
}

// SchemaVersion is the version of the schema that this program writes.
func SchemaVersion() int { return len(migrations) }

// migrate brings the file to the newest schema, each step in a transaction of
// its own kind: all of it or nothing.
func migrate(ctx context.Context, db *sql.DB) (err error) {
	conn, err := db.Conn(ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, conn.Close()) }()
	for {
		done, err := migrateOnce(ctx, conn)
		if err != nil || done {
			return err
		}
	}
}

func migrateOnce(ctx context.Context, conn *sql.Conn) (done bool, err error) {
	// The version is read with the right to write, so that of two processes that
	// open an old file one finds it new.
	if _, err := conn.ExecContext(ctx, "BEGIN IMMEDIATE"); err != nil {
		return false, err
	}
	defer func() {
		if err != nil {
			// The first error says more than that of the way back.
			_, _ = conn.ExecContext(context.WithoutCancel(ctx), "ROLLBACK")
		}
	}()
	var version int
	if err := conn.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return false, err
	}
	if version > len(migrations) {
		return false, &VersionError{version, len(migrations)}
	}
	if version == len(migrations) {
		_, err := conn.ExecContext(ctx, "COMMIT")
		return true, err
	}
	if _, err := conn.ExecContext(ctx, migrations[version]); err != nil {
		return false, fmt.Errorf("to version %d: %w", version+1, err)
	}
	// A PRAGMA takes no parameters.
	if _, err := conn.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d", version+1)); err != nil {
		return false, err
	}
	_, err = conn.ExecContext(ctx, "COMMIT")
	return false, err
}
