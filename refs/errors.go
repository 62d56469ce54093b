package refs

import (
	"errors"
	"fmt"
)

// The kinds of error of Read and ReadTaxonomy.
var (
	ErrNotFASTA  = errors.New("not FASTA")
	ErrEmpty     = errors.New("nothing to use")
	ErrTooLarge  = errors.New("larger than the limit")
	ErrTruncated = errors.New("the file ends too early")
)

// ParseError is a fault that makes a whole file unusable.
type ParseError struct {
	Line int // 1-based, zero where no line can be named
	Err  error
	Hint string // what to do, may be empty
}

// Error gives the line, the fault and the hint.
func (e *ParseError) Error() string {
	s := e.Err.Error()
	if e.Line > 0 {
		s = fmt.Sprintf("line %d: %s", e.Line, s)
	}
	if e.Hint != "" {
		s += " (" + e.Hint + ")"
	}
	return s
}

// Unwrap gives the fault without its place.
func (e *ParseError) Unwrap() error { return e.Err }
