package cmd

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc/batch"
)

func TestProgress(t *testing.T) {
	var out bytes.Buffer
	bar := progress{&out}
	bar.show(batch.Progress{Doing: "reading files", Done: 3})
	bar.show(batch.Progress{Doing: "matching samples", Done: 1, Of: 4})
	bar.clear()
	require.Equal(t, eraseLine+"reading files 3"+eraseLine+"matching samples 1 of 4"+eraseLine, out.String())

	out.Reset()
	silent := newProgress(&out) // no terminal
	silent.show(batch.Progress{Doing: "matching samples", Done: 1, Of: 4})
	silent.clear()
	require.Empty(t, out.String())
}
