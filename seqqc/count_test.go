package seqqc

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestCount(t *testing.T) {
	for want, got := range map[string]string{
		"0 reads": Count(0, "read"), "1 read": Count(1, "read"), "2 clear bases": Count(2, "clear base"),
		"1 genus": Count(1, "genus"), "3 other genera": Count(3, "other genus"), "4 other taxa": Count(4, "other taxon"), "1 species": Count(1, "species"), "2 species": Count(2, "species"),
	} {
		require.Equal(t, want, got)
	}
}
