package review_test

import (
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"forayseq/seqqc"
	"forayseq/seqqc/decisions"
	"forayseq/seqqc/review"
)

const (
	port  = 4711
	token = "the-token"
	here  = "127.0.0.1:4711"
)

// fake is a batch of one voucher that remembers what was decided.
type fake struct {
	mu   sync.Mutex
	list []seqqc.Decision
}

func (f *fake) voucher() seqqc.VoucherResult {
	return seqqc.VoucherResult{
		Voucher: seqqc.Voucher{Code: "FC-1", FieldID: "Russula"},
		Samples: []seqqc.SampleResult{{Contig: &seqqc.Contig{Reads: []seqqc.ReadPlacement{{File: "reads/r.ab1", Complemented: true}}}}},
		Chosen:  -1, Verdict: seqqc.Verdict{Kind: seqqc.Conflict},
	}
}

func (f *fake) batch() review.Batch {
	reads := []*seqqc.Read{{File: "reads/r.ab1", Stats: seqqc.ReadStats{Bases: 100}, Trace: &seqqc.Trace{Bases: make([]byte, 100)}}}
	return review.Batch{
		Name:   "batch",
		Result: func() *seqqc.Result { return &seqqc.Result{Vouchers: []seqqc.VoucherResult{f.voucher()}} },
		Voucher: func(code string) (seqqc.VoucherResult, []*seqqc.Read, []seqqc.Decision, error) {
			if code != "FC-1" {
				return seqqc.VoucherResult{}, nil, nil, &decisions.RefusedError{Why: "there is no voucher " + code}
			}
			f.mu.Lock()
			defer f.mu.Unlock()
			return f.voucher(), reads, append([]seqqc.Decision{}, f.list...), nil
		},
		Decide: func(_ context.Context, d seqqc.Decision) (seqqc.Decision, error) {
			f.mu.Lock()
			defer f.mu.Unlock()
			d.ID, d.When = decisions.NewID(), "2026-10-03T18:04:05Z"
			check := d
			if check.Place != nil {
				check.Place = &seqqc.Place{File: d.Place.File, At: d.Place.At, Around: "ACGT"}
			}
			if err := decisions.Check(check); err != nil {
				return d, &decisions.RefusedError{Why: err.Error()}
			}
			f.list = append(f.list, d)
			return d, nil
		},
		Changes:  func() (int, <-chan struct{}) { return 0, nil },
		Outdated: func() string { return "" },
	}
}

// call is a request that is let in, before it is spoilt.
type call struct {
	method, path, body string
	header             map[string]string
}

func hold() call {
	return call{http.MethodPost, "/api/decide", `{"who":"me","voucher":"FC-1","what":"submission","submission":"hold"}`, map[string]string{
		"Host": here, "Origin": "http://" + here, "Authorization": "Bearer " + token, "Content-Type": "application/json", "Sec-Fetch-Site": "same-origin"}}
}

func (c call) with(name, value string) call {
	header := map[string]string{}
	for k, v := range c.header {
		header[k] = v
	}
	header[name] = value
	c.header = header
	return c
}

func (c call) send(h http.Handler) *httptest.ResponseRecorder {
	r := httptest.NewRequest(c.method, "http://"+here+c.path, strings.NewReader(c.body))
	for k, v := range c.header {
		if v == "" {
			continue
		}
		r.Header.Set(k, v)
	}
	r.Host = c.header["Host"]
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

func TestWhoIsLetIn(t *testing.T) {
	f := &fake{}
	h := review.Handler(f.batch(), review.Options{Token: token}, port)
	require.Equal(t, http.StatusOK, hold().send(h).Code)
	require.Len(t, f.list, 1)
	get := hold()
	get.method, get.path, get.body = http.MethodGet, "/api/batch", ""
	get = get.with("Origin", "").with("Content-Type", "")
	require.Equal(t, http.StatusOK, get.send(h).Code)
	for _, name := range []string{"localhost:4711", "[::1]:4711"} {
		require.Equal(t, http.StatusOK, hold().with("Host", name).with("Origin", "http://"+name).send(h).Code)
	}
	method := func(m string) call { c := hold(); c.method = m; return c }
	path := func(c call, p string) call { c.path = p; return c }
	linked := func(c call) call {
		return c.with("Sec-Fetch-Site", "cross-site").with("Sec-Fetch-Mode", "navigate").with("Sec-Fetch-Dest", "document")
	}
	body := func(b string) call { c := hold(); c.body = b; return c }
	require.Equal(t, http.StatusOK, linked(path(get, "/")).send(h).Code, "a link may lead to the page, which holds nothing")
	known := len(f.list)
	for name, c := range map[string]struct {
		call   call
		status int
	}{
		"no token":                       {hold().with("Authorization", ""), 401},
		"a wrong token":                  {hold().with("Authorization", "Bearer the-tokem"), 401},
		"an empty token":                 {hold().with("Authorization", "Bearer "), 401},
		"the token as a password":        {hold().with("Authorization", "Basic "+token), 401},
		"the token in the address":       {path(hold().with("Authorization", ""), "/api/decide?token="+token), 401},
		"reading without the token":      {get.with("Authorization", ""), 401},
		"a name made to point here":      {hold().with("Host", "evil.example:4711").with("Origin", "http://evil.example:4711"), 421},
		"no Host":                        {hold().with("Host", ""), 421},
		"another port":                   {hold().with("Host", "127.0.0.1:80"), 421},
		"another name for the address":   {hold().with("Host", "127.1:4711"), 421},
		"the page under a foreign name":  {path(get, "/").with("Host", "evil.example"), 421},
		"sent by another page":           {hold().with("Origin", "http://evil.example"), 403},
		"by one of another port":         {hold().with("Origin", "http://127.0.0.1:80"), 403},
		"by one under https":             {hold().with("Origin", "https://"+here), 403},
		"by a file or a frame":           {hold().with("Origin", "null"), 403},
		"a change without an origin":     {hold().with("Origin", ""), 403},
		"another page, says the agent":   {hold().with("Sec-Fetch-Site", "cross-site"), 403},
		"another port, says the agent":   {hold().with("Sec-Fetch-Site", "same-site"), 403},
		"another page reads":             {get.with("Sec-Fetch-Site", "cross-site"), 403},
		"another page leads to data":     {linked(get), 403},
		"another page leads to a file":   {linked(path(get, "/app.js")), 403},
		"another page frames this one":   {linked(path(get, "/")).with("Sec-Fetch-Dest", "iframe"), 403},
		"another page changes by a link": {linked(hold()), 403},
		"a change by GET":                {method(http.MethodGet), 404},
		"a change by PUT":                {method(http.MethodPut), 405},
		"a deletion":                     {path(method(http.MethodDelete), "/api/batch"), 405},
		"asking what is allowed":         {method(http.MethodOptions), 405},
		"a form":                         {hold().with("Content-Type", "application/x-www-form-urlencoded"), 415},
		"plain text":                     {hold().with("Content-Type", "text/plain"), 415},
		"no kind of content":             {hold().with("Content-Type", ""), 415},
		"too large a body":               {body(`{"why":"` + strings.Repeat("w", 70<<10) + `"}`), 413},
		"no JSON":                        {body("who=me"), 400},
		"a field that is not known":      {body(`{"who":"me","voucher":"FC-1","what":"note","why":"w","id":"mine"}`), 400},
		"two decisions":                  {body(hold().body + hold().body), 400},
		"nobody decides":                 {body(`{"who":" ","voucher":"FC-1","what":"note","why":"w"}`), 422},
		"no such voucher":                {body(`{"who":"me","voucher":"FC-2","what":"note","why":"w"}`), 422},
		"no such kind":                   {body(`{"who":"me","voucher":"FC-1","what":"photograph"}`), 422},
		"overruled without a reason":     {body(`{"who":"me","voucher":"FC-1","what":"verdict","found":"conflict","verdict":"agrees"}`), 422},
		"a verdict that is another now":  {body(`{"who":"me","voucher":"FC-1","what":"verdict","found":"agrees","verdict":"agrees"}`), 409},
		"a stretch beyond the read":      {body(`{"who":"me","voucher":"FC-1","what":"kept_window","file":"reads/r.ab1","from":1,"to":101}`), 422},
		"a file outside":                 {path(get, "/../server.go"), 307},
		"a file outside, escaped":        {path(get, "/%2e%2e/%2e%2e/server.go"), 404},
		"behind it":                      {path(get, "/..%2f..%2fserver.go"), 404},
		"with backslashes":               {path(get, `/..%5c..%5cserver.go`), 404},
		"an absolute path":               {path(get, "//etc/passwd"), 307},
		"no such file":                   {path(get, "/server.go"), 404},
	} {
		w := c.call.send(h)
		require.Equal(t, c.status, w.Code, "%s: %s", name, w.Body)
		require.Len(t, f.list, known, name)
		require.NotContains(t, w.Body.String(), "package review", name)
		require.NotContains(t, w.Body.String(), "root:", name)
		require.Empty(t, w.Header().Get("Access-Control-Allow-Origin"), name)
		require.Contains(t, w.Header().Get("Content-Security-Policy"), "default-src 'none'", name)
		if c.status < 400 { // to the same server, at a path without dots
			require.Regexp(t, `^/[a-z./]*$`, w.Header().Get("Location"), name)
			require.NotContains(t, w.Header().Get("Location"), "..", name)
			require.False(t, strings.HasPrefix(w.Header().Get("Location"), "//"), name)
		}
	}

	// Without a token of its own the server lets nobody in.
	open := review.Handler(f.batch(), review.Options{}, port)
	require.Equal(t, 401, hold().with("Authorization", "Bearer ").send(open).Code)
}

func TestHeadersOfThePage(t *testing.T) {
	h := review.Handler((&fake{}).batch(), review.Options{Token: token}, port)
	for _, path := range []string{"/", "/app.js", "/style.css", "/pictures.css", "/api/batch"} {
		w := call{http.MethodGet, path, "", map[string]string{"Host": here, "Authorization": "Bearer " + token}}.send(h)
		require.Equal(t, 200, w.Code, path)
		policy := w.Header().Get("Content-Security-Policy")
		for _, part := range []string{"default-src 'none'", "script-src 'self'", "style-src 'self'", "connect-src 'self'", "base-uri 'none'", "form-action 'none'", "frame-ancestors 'none'"} {
			require.Contains(t, policy, part, path)
		}
		require.NotContains(t, policy, "unsafe", path)
		require.Equal(t, "nosniff", w.Header().Get("X-Content-Type-Options"))
		require.Equal(t, "no-referrer", w.Header().Get("Referrer-Policy"))
		require.Equal(t, "no-store", w.Header().Get("Cache-Control"))
		require.Empty(t, w.Header().Get("Set-Cookie"))
		require.NotContains(t, w.Body.String(), token, path)
	}
}

// An answer is given in the direction of the contig, and written down in that of
// the read.
func TestCodeIsTurnedIntoTheRead(t *testing.T) {
	f := &fake{}
	h := review.Handler(f.batch(), review.Options{Token: token}, port)
	for code, want := range map[string]string{"A": "T", "r": "Y", "-": "-", "N": "N"} {
		c := hold()
		c.body = fmt.Sprintf(`{"who":"me","voucher":"FC-1","what":"base","file":"reads/r.ab1","at":7,"code":%q}`, code)
		w := c.send(h)
		require.Equal(t, 200, w.Code, w.Body)
		require.Equal(t, want, f.list[len(f.list)-1].Code, code)
	}
}

func TestListensHereOnly(t *testing.T) {
	l, err := review.Listen(0)
	require.NoError(t, err)
	addr := l.Addr().(*net.TCPAddr)
	require.True(t, addr.IP.IsLoopback())
	require.NotEqual(t, review.NewToken(), review.NewToken())
	require.Len(t, review.NewToken(), 43, "256 bits in base64 (RFC 4648, section 5)")
	require.Equal(t, fmt.Sprintf("http://%s/#token=abc", l.Addr()), review.Address(l, "abc"))

	// It ends when it is told to, requests that wait for a change included.
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() { done <- review.Serve(ctx, l, (&fake{}).batch(), review.Options{Token: token}) }()
	waits := make(chan error, 1)
	go func() {
		r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, "http://"+l.Addr().String()+"/api/changes?after=0", nil)
		if err != nil {
			waits <- err
			return
		}
		r.Header.Set("Authorization", "Bearer "+token)
		w, err := http.DefaultClient.Do(r)
		if err == nil {
			_, err = io.Copy(io.Discard, w.Body)
			_ = w.Body.Close()
		}
		waits <- err
	}()
	select {
	case err := <-waits:
		t.Fatalf("answered without a change: %v", err)
	case <-time.After(200 * time.Millisecond):
	}
	cancel()
	require.NoError(t, <-done)
	require.NoError(t, <-waits)

	everywhere, err := net.Listen("tcp", "0.0.0.0:0")
	require.NoError(t, err)
	require.ErrorContains(t, review.Serve(t.Context(), everywhere, review.Batch{}, review.Options{Token: token}), "no loopback address")
	require.NoError(t, everywhere.Close())
}
