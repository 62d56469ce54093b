package trace

import (
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the golden files anew")

// TestGolden holds the encoders to the bytes they once wrote, and the decoders
// to reading those: an error that both share does not pass unseen.
func TestGolden(t *testing.T) {
	abif := synthetic(1, 20)
	abif.Called, abif.Edited = append([]byte("N"), abif.Bases[1:]...), true
	scf := forSCF(1, 20)
	for name, c := range map[string]struct {
		written []byte
		want    any
	}{
		"synthetic.ab1":       {encodeABIF(t, abif), abif},
		"synthetic_v2_8.scf":  {encodeSCF(t, scf, 2, 1), scf},
		"synthetic_v3_16.scf": {encodeSCF(t, scf, 3, 2), scf},
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join("testdata", name)
			if *update {
				require.NoError(t, os.WriteFile(path, c.written, 0o644))
			}
			f, err := os.Open(path)
			require.NoError(t, err)
			defer f.Close() //nolint:errcheck // read only
			assert.Equal(t, readFile(t, path), c.written)
			got, err := Decode(f, name, Limits{})
			require.NoError(t, err)
			assert.Equal(t, c.want, got[0])
		})
	}
}
