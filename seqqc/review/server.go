package review

import (
	"context"
	"crypto/rand"
	"crypto/subtle"
	"embed"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"net/http"
	"strconv"
	"strings"
	"time"

	"forayseq/seqqc"
	"forayseq/seqqc/decisions"
	"forayseq/seqqc/draw"
)

// Batch is what the page shows, and what becomes of its decisions. The functions
// may be called by several goroutines at once.
type Batch struct {
	// Name is shown as the title.
	Name string
	// Result gives the results as they are now.
	Result func() *seqqc.Result
	// Voucher gives one voucher, its reads with their traces, and all decisions
	// about it.
	Voucher func(code string) (seqqc.VoucherResult, []*seqqc.Read, []seqqc.Decision, error)
	// Decide writes a decision down and works on its voucher anew. It gives the
	// decision with its ID and time; a *decisions.RefusedError says that it was
	// not written and why.
	Decide func(context.Context, seqqc.Decision) (seqqc.Decision, error)
	// Changes counts the changes since the start; next is closed at the next one.
	Changes func() (n int, next <-chan struct{})
	// Outdated says that inputs are others on the disk than those that were read,
	// and what to do; empty where none is.
	Outdated func() string
}

// Options are those of a server.
type Options struct {
	// Token must come with every request for data.
	Token string
	// Who is the person that the page proposes as the author of decisions.
	Who string
}

// NewToken gives a token that nobody can guess: 256 random bits.
func NewToken() string {
	b := make([]byte, 32)
	_, _ = rand.Read(b) // never fails
	return base64.RawURLEncoding.EncodeToString(b)
}

// Listen listens on the loopback interface; port 0 takes any that is free.
func Listen(port int) (net.Listener, error) {
	return net.Listen("tcp", net.JoinHostPort("127.0.0.1", strconv.Itoa(port)))
}

// Address gives the address to open in a browser, the token in it.
func Address(l net.Listener, token string) string {
	return "http://" + l.Addr().String() + "/#token=" + token
}

// Serve answers requests until ctx ends, and gives an error only where it could
// not go on. l must be a loopback listener.
func Serve(ctx context.Context, l net.Listener, b Batch, opt Options) error {
	addr, ok := l.Addr().(*net.TCPAddr)
	if !ok || !addr.IP.IsLoopback() {
		return fmt.Errorf("%s is no loopback address: the page is for this computer only", l.Addr())
	}
	server := &http.Server{
		Handler:           Handler(b, opt, addr.Port),
		ReadHeaderTimeout: 10 * time.Second,
		ReadTimeout:       30 * time.Second,
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    16 << 10,
		// Requests that wait for a change end with ctx.
		BaseContext: func(net.Listener) context.Context { return ctx },
	}
	done := make(chan error, 1)
	go func() { done <- server.Serve(l) }()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
	}
	// A decision that is being written is finished first.
	shutdown, cancel := context.WithTimeout(context.WithoutCancel(ctx), 10*time.Second)
	defer cancel()
	err := server.Shutdown(shutdown)
	if served := <-done; !errors.Is(served, http.ErrServerClosed) {
		err = errors.Join(err, served)
	}
	return err
}

//go:embed page
var files embed.FS

// maxBody bounds the body of a request: a reason of a page, each letter escaped.
const maxBody = 64 << 10

// waitForChange is how long a request waits for a change: shorter than what
// browsers and what lies between give up after.
const waitForChange = 25 * time.Second

// server answers the requests of the page.
type server struct {
	batch Batch
	opt   Options
}

// Handler answers requests to a loopback address with the port.
func Handler(b Batch, opt Options, port int) http.Handler {
	s := &server{batch: b, opt: opt}
	mux := http.NewServeMux()
	page, err := fs.Sub(files, "page")
	if err != nil {
		panic(err) // the folder is built in
	}
	mux.Handle("GET /", http.FileServerFS(page))
	mux.HandleFunc("GET /pictures.css", func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/css; charset=utf-8")
		_, _ = w.Write([]byte(draw.Style)) // nobody is left to tell
	})
	for pattern, handle := range map[string]http.HandlerFunc{
		"GET /api/batch":   s.showBatch,
		"GET /api/voucher": s.showVoucher,
		"GET /api/trace":   s.showTrace,
		"GET /api/changes": s.awaitChange,
		"POST /api/decide": s.decide,
	} {
		mux.Handle(pattern, s.withToken(handle))
	}
	return fromHere(port, mux)
}

// contentPolicy lets the page use its own files and nothing else.
const contentPolicy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; " +
	"base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

// fromHere refuses requests that were not made for this address, or by a page
// from elsewhere, and sets the headers of every answer.
func fromHere(port int, next http.Handler) http.Handler {
	hosts := map[string]bool{}
	for _, name := range []string{"127.0.0.1", "localhost", "::1"} {
		hosts[net.JoinHostPort(name, strconv.Itoa(port))] = true
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", contentPolicy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		origin := r.Header.Get("Origin")
		site := r.Header.Get("Sec-Fetch-Site")
		// A link may lead to the page from anywhere: it holds nothing, and what it
		// then asks for needs the token.
		linked := r.Method == http.MethodGet && r.URL.Path == "/" && r.Header.Get("Sec-Fetch-Mode") == "navigate" && r.Header.Get("Sec-Fetch-Dest") == "document"
		switch {
		case !hosts[r.Host]:
			refuse(w, http.StatusMisdirectedRequest, "this page is for this computer only: open the address that was printed")
		case origin != "" && origin != "http://"+r.Host, origin == "" && r.Method != http.MethodGet && r.Method != http.MethodHead:
			refuse(w, http.StatusForbidden, "the request comes from another page")
		case (site == "cross-site" || site == "same-site") && !linked:
			refuse(w, http.StatusForbidden, "the request comes from another page")
		default:
			next.ServeHTTP(w, r)
		}
	})
}

// withToken refuses requests without the token.
func (s *server) withToken(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		given, ok := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer ")
		if s.opt.Token == "" || !ok || subtle.ConstantTimeCompare([]byte(given), []byte(s.opt.Token)) != 1 {
			refuse(w, http.StatusUnauthorized, "open the address that was printed when the program started: it is new with every start")
			return
		}
		next.ServeHTTP(w, r)
	})
}

// refusal is the body of an answer that is an error.
type refusal struct {
	Error string `json:"error"`
}

func refuse(w http.ResponseWriter, status int, why string) { answer(w, status, refusal{why}) }

func answer(w http.ResponseWriter, status int, body any) {
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.WriteHeader(status)
	_ = json.NewEncoder(w).Encode(body) // nobody is left to tell
}

// fail answers with an error of the batch.
func fail(w http.ResponseWriter, err error) {
	var refused *decisions.RefusedError
	if errors.As(err, &refused) {
		refuse(w, http.StatusUnprocessableEntity, err.Error())
		return
	}
	refuse(w, http.StatusInternalServerError, err.Error())
}

// changesView tells a page that waits what it may have missed.
type changesView struct {
	Changes  int    `json:"changes"`
	Outdated string `json:"outdated"`
}

// awaitChange answers when there was a change after the one the page knows, or
// when it has waited long enough.
func (s *server) awaitChange(w http.ResponseWriter, r *http.Request) {
	after, err := strconv.Atoi(r.URL.Query().Get("after"))
	if err != nil {
		refuse(w, http.StatusBadRequest, "after: a number is needed")
		return
	}
	n, next := s.batch.Changes()
	if n == after {
		select {
		case <-next:
			n, _ = s.batch.Changes()
		case <-r.Context().Done():
		case <-time.After(waitForChange):
		}
	}
	answer(w, http.StatusOK, changesView{n, s.batch.Outdated()})
}
