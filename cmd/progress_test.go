package cmd

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc/batch"
)

func TestProgress(t *testing.T) {
	var out bytes.Buffer
	clock := time.Unix(0, 0)
	bar := &progress{w: &out, now: func() time.Time { return clock }}
	bar.show(batch.Progress{Doing: "reading files", Done: 3})
	bar.show(batch.Progress{Doing: "matching samples", Done: 1, Of: 4})
	bar.clear()
	require.Equal(t, eraseLine+"reading files 3"+eraseLine+"matching samples 1 of 4"+eraseLine, out.String())

	// A stream: its length is not known.
	out.Reset()
	bar.show(batch.Progress{Doing: "matching sequences", Done: 1, Name: "FC-1"})
	clock = clock.Add(showEvery / 2)
	bar.show(batch.Progress{Doing: "matching sequences", Done: 2}) // too soon to be read
	clock = clock.Add(4 * time.Second)
	bar.show(batch.Progress{Doing: "matching sequences", Done: 81, Share: 0.5, Name: "FC-2\x1b[2J" + strings.Repeat("long", 20)})
	require.Equal(t, eraseLine+"matching sequences 1, FC-1"+
		eraseLine+"matching sequences 81, 50 % of the file, 20 a second, FC-2?[2Jlonglonglonglong", out.String())

	out.Reset()
	silent := newProgress(&out) // no terminal
	silent.show(batch.Progress{Doing: "matching samples", Done: 1, Of: 4})
	silent.clear()
	require.Empty(t, out.String())
}
