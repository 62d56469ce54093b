package cmd

import (
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestTheWayToThePageIsPrivate(t *testing.T) {
	dir := t.TempDir()
	const address = "http://127.0.0.1:4711/#token=abc-_&"
	way, err := wayTo(dir, address)
	require.NoError(t, err)
	require.True(t, filepath.IsAbs(way))
	require.NotContains(t, way, "abc")
	text, err := os.ReadFile(way)
	require.NoError(t, err)
	require.Contains(t, string(text), `content="0; url=http://127.0.0.1:4711/#token=abc-_&amp;"`)
	if runtime.GOOS != "windows" { // where a folder's own rights decide
		info, err := os.Stat(way)
		require.NoError(t, err)
		require.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	}
	_, err = wayTo(filepath.Join(dir, "missing"), address)
	require.Error(t, err)
}
