package ledger

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"time"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// The kinds of error that a person can mend.
var (
	ErrBusy      = errors.New("another program is writing to the ledger")
	ErrFull      = errors.New("the disk is full, and nothing was changed")
	ErrNotLedger = errors.New("it is no ledger")
	ErrDamaged   = errors.New("the ledger is damaged")
	ErrReadOnly  = errors.New("the ledger or its folder may not be written to")
	ErrDisk      = errors.New("the disk does not do what it should, and nothing was changed")
)

// VersionError is a ledger of a newer program.
type VersionError struct{ Found, Known int }

// Error gives both versions.
func (e *VersionError) Error() string {
	return fmt.Sprintf("the ledger is of version %d, and this program knows %d", e.Found, e.Known)
}

// Ledger is an open file. Its methods may be called at once.
type Ledger struct{ db *sql.DB }

// Options say how to open a ledger.
type Options struct {
	// Create makes the file where it is missing; without, that is an error.
	Create bool
	// Wait is how long a writer waits for another process; zero is a minute.
	Wait time.Duration
}

// applicationID marks the file as ours (SQLite, "PRAGMA application_id").
const applicationID = 0x464f5259 // "FORY"

// Open opens a ledger and brings its schema up to date. The error is a
// *VersionError, or one of the errors of this package, where a person can mend
// it.
func Open(ctx context.Context, path string, opt Options) (*Ledger, error) {
	if opt.Wait == 0 {
		opt.Wait = time.Minute
	}
	var fresh bool
	switch info, err := os.Stat(path); {
	case err == nil && info.IsDir():
		return nil, fmt.Errorf("%s is a folder: %w", path, ErrNotLedger)
	case err == nil && !info.Mode().IsRegular():
		return nil, fmt.Errorf("%s is no regular file: %w", path, ErrNotLedger)
	case err == nil:
		fresh = info.Size() == 0
	case errors.Is(err, os.ErrNotExist) && opt.Create:
		fresh = true
	default:
		return nil, err
	}
	abs, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	query := url.Values{"_pragma": {
		// The wait comes first, for all else may have to wait.
		fmt.Sprintf("busy_timeout(%d)", opt.Wait.Milliseconds()),
		"foreign_keys(1)", "synchronous(FULL)",
	}, "_txlock": {"immediate"}}
	db, err := sql.Open("sqlite", (&url.URL{Scheme: "file", Path: filepath.ToSlash(abs), RawQuery: query.Encode()}).String())
	if err != nil {
		return nil, err
	}
	l := &Ledger{db}
	if err := waiting(ctx, opt.Wait, func() error { return l.prepare(ctx, fresh) }); err != nil {
		return nil, errors.Join(fmt.Errorf("%s: %w", path, plain(err)), db.Close())
	}
	return l, nil
}

// waiting calls f until no other process is in its way, for so long at most.
// SQLite itself does not wait where two switch a new file to another journal, for
// each has what the other waits for.
func waiting(ctx context.Context, most time.Duration, f func() error) error {
	const pause = 20 * time.Millisecond
	for end := time.Now().Add(most); ; {
		err := f()
		if !errors.Is(plain(err), ErrBusy) || time.Now().After(end) {
			return err
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(pause):
		}
	}
}

func (l *Ledger) prepare(ctx context.Context, fresh bool) error {
	var id int
	if err := l.db.QueryRowContext(ctx, "PRAGMA application_id").Scan(&id); err != nil {
		return err
	}
	if id != applicationID {
		// Another process may have made the file since we looked.
		var tables int
		if err := l.db.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_schema").Scan(&tables); err != nil {
			return err
		}
		if !fresh && tables > 0 {
			return ErrNotLedger
		}
		if _, err := l.db.ExecContext(ctx, fmt.Sprintf("PRAGMA application_id = %d", applicationID)); err != nil {
			return err
		}
	}
	// Not before it is known to be ours: the switch is written into the file,
	// where it lasts.
	if _, err := l.db.ExecContext(ctx, "PRAGMA journal_mode = WAL"); err != nil {
		return err
	}
	return migrate(ctx, l.db)
}

// Close closes the file. What was added is on the disk long before.
func (l *Ledger) Close() error { return l.db.Close() }

// plain turns what SQLite says into an error that a person can act on; others
// come back as they are.
func plain(err error) error {
	var e *sqlite.Error
	if !errors.As(err, &e) {
		return err
	}
	const primary = 0xff                          // the low byte of an extended result code
	if e.Code() == sqlite3.SQLITE_IOERR_SHMSIZE { // no room for the file beside it
		return fmt.Errorf("%w (%w)", ErrFull, err)
	}
	switch e.Code() & primary {
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		return fmt.Errorf("%w (%w)", ErrBusy, err)
	case sqlite3.SQLITE_FULL:
		return fmt.Errorf("%w (%w)", ErrFull, err)
	case sqlite3.SQLITE_NOTADB:
		return fmt.Errorf("%w (%w)", ErrNotLedger, err)
	case sqlite3.SQLITE_CORRUPT:
		return fmt.Errorf("%w (%w)", ErrDamaged, err)
	case sqlite3.SQLITE_IOERR:
		return fmt.Errorf("%w (%w)", ErrDisk, err)
	case sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM:
		return fmt.Errorf("%w (%w)", ErrReadOnly, err)
	}
	return err
}

// within runs f in one transaction: all it did is kept, or nothing.
func (l *Ledger) within(ctx context.Context, f func(*sql.Tx) error) error {
	tx, err := l.db.BeginTx(ctx, nil)
	if err != nil {
		return plain(err)
	}
	if err := f(tx); err != nil {
		return plain(errors.Join(err, tx.Rollback()))
	}
	return plain(tx.Commit())
}
