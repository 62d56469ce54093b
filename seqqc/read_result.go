package seqqc

import (
	"encoding/json"
	"fmt"
	"io"
)

// UnmarshalText reads what MarshalText writes.
func (d *Direction) UnmarshalText(text []byte) error {
	for _, known := range []Direction{UnknownDirection, Forward, Reverse} {
		if known.String() == string(text) {
			*d = known
			return nil
		}
	}
	return fmt.Errorf("%q is no direction", text)
}

// SchemaError is a results.json of a version that this program cannot read.
type SchemaError struct{ Found, Known int }

// Error gives both versions.
func (e *SchemaError) Error() string {
	return fmt.Sprintf("schema_version %d, and this program reads %d", e.Found, e.Known)
}

// ReadResult reads a results.json as a run writes it. The bases and qualities
// of every contig are there again; traces and signals are not in the file. The
// error is a *SchemaError where the file is of another version of the schema,
// and otherwise says what is wrong with it.
func ReadResult(r io.Reader) (*Result, error) {
	raw, err := io.ReadAll(r)
	if err != nil {
		return nil, err
	}
	var head struct {
		SchemaVersion *int `json:"schema_version"`
	}
	if err := json.Unmarshal(raw, &head); err != nil {
		return nil, fmt.Errorf("no results of a run: %w", err)
	}
	if head.SchemaVersion == nil {
		return nil, fmt.Errorf("no results of a run: schema_version is missing")
	}
	if *head.SchemaVersion != SchemaVersion {
		return nil, &SchemaError{*head.SchemaVersion, SchemaVersion}
	}
	var res Result
	if err := json.Unmarshal(raw, &res); err != nil {
		return nil, fmt.Errorf("no results of a run: %w", err)
	}
	for i := range res.Vouchers {
		if err := res.Vouchers[i].Restore(); err != nil {
			return nil, err
		}
	}
	return &res, nil
}

// Restore gives the contigs of a voucher that was read from JSON their bases
// and qualities, and refuses one that contradicts itself.
func (v *VoucherResult) Restore() error {
	if v.Chosen < -1 || v.Chosen >= len(v.Samples) {
		return fmt.Errorf("voucher %s: sample %d is not there", v.Voucher.Code, v.Chosen)
	}
	for i := range v.Samples {
		s := &v.Samples[i]
		if err := s.Contig.restore(); err != nil {
			return fmt.Errorf("voucher %s: %w", v.Voucher.Code, err)
		}
		if s.Minor == nil {
			continue
		}
		if err := s.Minor.Contig.restore(); err != nil {
			return fmt.Errorf("voucher %s, second organism: %w", v.Voucher.Code, err)
		}
	}
	return nil
}

// restore gives a contig that was read its bases and qualities.
func (c *Contig) restore() error {
	const zero = '!' // Phred 0 (Cock et al. 2010, Nucleic Acids Research 38: 1767-1771)
	if c == nil {
		return nil
	}
	if len(c.Sequence) != len(c.Phred33) {
		return fmt.Errorf("%d bases and %d qualities", len(c.Sequence), len(c.Phred33))
	}
	for _, part := range []Interval{c.Gap, c.Region.SSU, c.Region.ITS1, c.Region.R58S, c.Region.ITS2, c.Region.LSU} {
		if !part.Empty() && (part.Start < 0 || part.End > len(c.Sequence)) {
			return fmt.Errorf("a stretch from %d to %d in %d bases", part.Start, part.End, len(c.Sequence))
		}
	}
	c.Bases = []byte(c.Sequence)
	c.Quals = []byte(c.Phred33)
	for i, q := range c.Quals {
		if q < zero {
			return fmt.Errorf("base %d: a quality below zero", i+1)
		}
		c.Quals[i] = q - zero
	}
	return nil
}
