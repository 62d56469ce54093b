package batch

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"
)

func none(string) bool { return false }

func TestEverySettingReadsWhatItPrints(t *testing.T) {
	s := DefaultSettings()
	seen := map[string]bool{}
	for _, e := range s.Entries() {
		require.False(t, seen[e.Name], "%s is there twice", e.Name)
		seen[e.Name] = true
		require.NotEmpty(t, e.Usage, e.Name)
		require.NotEmpty(t, e.Source, e.Name)
		before := e.String()
		require.NoError(t, e.Set(before), e.Name)
		require.Equal(t, before, e.String())
		for _, bad := range []string{"", "much", "NaN", "-1", "1e300"} {
			require.Error(t, e.Set(bad), "%s takes %q", e.Name, bad)
		}
		require.Equal(t, before, e.String(), "a refused value leaves no trace")
	}
	require.Equal(t, DefaultSettings(), s)
}

func TestLoadSettings(t *testing.T) {
	s := DefaultSettings()
	require.NoError(t, s.Load(strings.NewReader("# ours\ntop: 3\ngenus-identity: 95\ncolumns:\n  Fundnummer: voucher\n"), none))
	require.Equal(t, 3, s.Match.Hits)
	require.Equal(t, 95.0, s.Match.Thresholds.Genus)
	require.Equal(t, map[string]string{"Fundnummer": "voucher"}, s.Columns)

	require.NoError(t, s.Load(strings.NewReader("top: 7\n"), func(name string) bool { return name == "top" }))
	require.Equal(t, 3, s.Match.Hits, "a flag goes before the file")
	require.NoError(t, s.Load(strings.NewReader(""), none))
}

func TestSettingsThatCannotBeUsed(t *testing.T) {
	for text, says := range map[string]string{
		"top: many\n":                   "line 1: top",
		"\ntop: 4\ntopz: 3\n":           "line 3: unknown setting",
		"top: [1, 2]\n":                 "no single value",
		"- top\n":                       "no settings by name",
		"top: 3\n\tgenus-identity: 9\n": SettingsName,
		"columns: voucher\n":            "columns",
		"species-identity: 101\n":       "101",
	} {
		s := DefaultSettings()
		err := s.Load(strings.NewReader(text), none)
		require.ErrorContains(t, err, says, "%q", text)
		var hinted *HintError
		require.ErrorAs(t, err, &hinted)
		require.NotEmpty(t, hinted.Hint)
		require.Equal(t, DefaultSettings(), s, "nothing is taken from a file with an error")
	}
}

func TestThresholdsMustFall(t *testing.T) {
	s := DefaultSettings()
	require.NoError(t, s.Validate())
	s.Match.Thresholds.Genus = 99.9
	require.ErrorContains(t, s.Validate(), "99.9")
}

func TestRefuseOverlap(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(dir, ReadsName), 0o755))
	link := filepath.Join(t.TempDir(), "link")
	require.NoError(t, os.Symlink(dir, link))
	for _, out := range []string{dir, link, filepath.Join(dir, ReadsName), filepath.Join(dir, ReadsName, "x"), filepath.Dir(dir), filepath.Join(dir, ".")} {
		require.ErrorContains(t, RefuseOverlap(dir, out), "among the inputs", out)
	}
	for _, out := range []string{filepath.Join(dir, ResultsName), filepath.Join(dir, "a", "b"), filepath.Join(t.TempDir(), "x")} {
		require.NoError(t, RefuseOverlap(dir, out), out)
	}
}

func TestInParallel(t *testing.T) {
	t.Run("does each once", func(t *testing.T) {
		var did [100]atomic.Int32
		told := 0
		require.NoError(t, inParallel(t.Context(), 4, len(did), func(_ context.Context, i int) error {
			did[i].Add(1)
			return nil
		}, func(n int) { told++; require.Equal(t, told, n) }))
		require.Equal(t, len(did), told)
		for i := range did {
			require.EqualValues(t, 1, did[i].Load())
		}
	})
	t.Run("ends at the first error", func(t *testing.T) {
		broken := errors.New("broken")
		var calls atomic.Int32
		require.ErrorIs(t, inParallel(t.Context(), 2, 1000, func(_ context.Context, i int) error {
			calls.Add(1)
			if i == 3 {
				return broken
			}
			return nil
		}, func(int) {}), broken)
		require.Less(t, calls.Load(), int32(1000))
	})
	t.Run("ends with its context", func(t *testing.T) {
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		require.ErrorIs(t, inParallel(ctx, 2, 10, func(context.Context, int) error { return nil }, func(int) {}), context.Canceled)
	})
	t.Run("has nothing to do", func(t *testing.T) {
		require.NoError(t, inParallel(t.Context(), 0, 0, nil, nil))
	})
}
