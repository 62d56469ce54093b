package review_test

import (
	"bytes"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"forayseq/seqqc/batch"
	"forayseq/seqqc/demo"
	"forayseq/seqqc/report"
)

// TestReportInABrowser looks at the report of the invented club's batch: it says
// nothing on the console, asks for nothing, and fits a small window, light and
// dark.
func TestReportInABrowser(t *testing.T) {
	browser(t)
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "demo-batch")
	require.NoError(t, demo.Write(dir, demo.Options{}))
	res, err := batch.Run(t.Context(), batch.Options{Dir: dir, Settings: batch.DefaultSettings()})
	require.NoError(t, err)
	var page bytes.Buffer
	require.NoError(t, report.WriteHTML(&page, report.New(res)))

	// Served rather than opened as a file, so that a request for a second file
	// shows as one.
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path != "/report.html" {
			t.Errorf("the report asks for %s", r.URL)
			http.NotFound(w, r)
			return
		}
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		_, _ = w.Write(page.Bytes())
	}))
	t.Cleanup(server.Close)

	tb := newBrowser(t, 360)
	tb.run(chromedp.Navigate(server.URL + "/report.html"))

	// What is folded is part of the page, and so is what is not drawn until it
	// is scrolled to.
	tb.value(`document.querySelectorAll("details").forEach((d) => { d.open = true })`)
	tb.value(`document.querySelectorAll(".voucher").forEach((v) => { v.style.contentVisibility = "visible" })`)
	require.Equal(t, "true", tb.value("document.querySelectorAll('svg').length > 100"))
	tb.noWider("the report")
	require.Empty(t, tb.value(`[...document.querySelectorAll("th")].filter((c) => {
		const words = document.createRange()
		words.selectNodeContents(c)
		return !/[\s-]/.test(c.textContent) && new Set([...words.getClientRects()].map((r) => Math.round(r.top))).size > 1
	}).map((c) => c.textContent).join()`), "words broken in two")
	for _, scheme := range []string{"light", "dark"} {
		tb.scheme(scheme)
		tb.sound("the report, " + scheme)
		tb.picture("report-360-" + scheme)
	}
	tb.resize(1280)
	tb.noWider("the report on a wide window")
	for _, scheme := range []string{"light", "dark"} {
		tb.scheme(scheme)
		tb.picture("report-1280-" + scheme)
	}
	tb.quiet(server.URL)
}
