// Package guard stands between a small web server and whoever can reach it. It
// serves one machine or one farm's own network, not the internet: there is one
// passphrase, no names, and no transport security of its own.
//
//	guard.go       what every request must pass, in order; hosts.go whose name it asks for
//	forms.go       what is posted: size, shape, and that our own page posted it
//	visitor.go     the cookie, and who is signed in
//	passphrase.go  the passphrase and its file
//	server.go      limits on connections, and an end that cuts nothing off
//
// A request from a browser is trusted no more than the site that made it: the
// name it asks for must be ours (against names that another site points at us),
// its origin must be ours, and a form must carry a token that only a page of
// ours can have read.
package guard

import (
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/url"
	"runtime/debug"
	"strings"
)

// Guard checks requests before a mux sees them. Make one with New.
type Guard struct {
	o    Options
	keys keys
	site *http.CrossOriginProtection
	mux  *http.ServeMux
	tries
	unasked unasked
	ending  chan struct{}
}

// Options say what a Guard lets in.
type Options struct {
	Names      []string    // host names it answers to besides those of the connection itself
	Passphrase *Passphrase // nil: none is asked for; only right on a loopback address
	Log        *slog.Logger
	Policy     string // the Content-Security-Policy of every answer
	// Say writes a page that tells why a request is refused; SignIn the form that
	// asks for the passphrase, why it was not taken, and where to go then.
	Say    func(w http.ResponseWriter, status int, why string)
	SignIn func(w http.ResponseWriter, r *http.Request, status int, fault, then string)
	// Open are paths that are there for those who are not signed in.
	Open []string
}

// The limits on a request. A form of a record is some hundred bytes; a map of
// zones is asked for with a limit of its own.
const (
	maxHeaderBytes = 16 << 10
	maxFormBytes   = 64 << 10
	maxQueryBytes  = 4 << 10
)

// signInPath is where the passphrase is given.
const signInPath = "/sign-in"

// New makes a guard.
func New(o Options) (*Guard, error) {
	g := &Guard{o: o, site: http.NewCrossOriginProtection(), mux: http.NewServeMux(), unasked: unasked{conns: map[net.Conn]int{}}, ending: make(chan struct{})}
	var err error
	if g.keys, err = newKeys(o.Passphrase); err != nil {
		return nil, err
	}
	if o.Passphrase != nil {
		g.mux.HandleFunc("GET "+signInPath, func(w http.ResponseWriter, r *http.Request) {
			o.SignIn(w, r, http.StatusOK, "", "/")
		})
		g.Post(signInPath, 0, g.signIn, g.staleSignIn)
	}
	return g, nil
}

// Get serves a page.
func (g *Guard) Get(path string, do http.HandlerFunc) { g.mux.HandleFunc("GET "+path, do) }

// refusal is why a request is not served.
type refusal struct {
	status int
	why    string // for the page and the log; holds nothing that was asked with
}

// ServeHTTP checks a request and hands it on.
func (g *Guard) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	g.unasked.asked(r)
	w = &recorder{ResponseWriter: w}
	defer func() {
		if v := recover(); v != nil {
			if v == http.ErrAbortHandler {
				panic(v)
			}
			g.o.Log.Error("fault of the program", "fault", fmt.Sprint(v), "stack", string(debug.Stack()))
			g.o.Say(w, http.StatusInternalServerError, "a fault of the program; its log says which")
		}
	}()
	h := w.Header()
	h.Set("Content-Security-Policy", g.o.Policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY") // for browsers that know no frame-ancestors
	h.Set("Referrer-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Cache-Control", "private, no-cache")
	if no := g.refuse(r); no != nil {
		g.Refuse(w, r, no.status, no.why)
		return
	}
	if _, pattern := g.mux.Handler(r); pattern == "" {
		g.lost(w, r)
		return
	}
	id, signedIn := g.visitor(w, r)
	r = r.WithContext(withVisitor(r.Context(), id))
	if g.o.Passphrase != nil && !signedIn && !g.open(r.URL.Path) {
		g.ask(w, r)
		return
	}
	g.mux.ServeHTTP(w, r)
}

// refuse looks at everything that can be told before a handler runs.
func (g *Guard) refuse(r *http.Request) *refusal {
	switch {
	case !g.ownHost(r):
		return &refusal{http.StatusMisdirectedRequest, "this program does not answer to that host name"}
	case r.Method != http.MethodGet && r.Method != http.MethodHead && r.Method != http.MethodPost:
		return &refusal{http.StatusMethodNotAllowed, "only GET and POST are understood"}
	case !plainPath(r.URL):
		return &refusal{http.StatusNotFound, "there is no such page"}
	case len(r.URL.RawQuery) > maxQueryBytes:
		return &refusal{http.StatusRequestURITooLong, "the address is too long"}
	case g.site.Check(r) != nil:
		return &refusal{http.StatusForbidden, "posted from another site"}
	case !ownRead(r):
		return &refusal{http.StatusForbidden, "asked for by another site"}
	}
	return nil
}

// plainPath tells whether a path can be one of ours: they have no dots that
// climb, no doubled slash, nothing escaped.
func plainPath(u *url.URL) bool {
	return u.RawPath == "" && strings.HasPrefix(u.Path, "/") && !strings.Contains(u.Path, "..") &&
		!strings.Contains(u.Path, "//") && !strings.ContainsAny(u.Path, "\\\x00%")
}

// ownRead tells whether a read is our own page's, or a person's who follows a
// link: another site may lead here but not put questions, which cost work, nor
// take pieces of a page into its own.
func ownRead(r *http.Request) bool {
	switch r.Header.Get("Sec-Fetch-Site") {
	case "cross-site", "same-site":
		return r.Method == http.MethodPost || r.Header.Get("Sec-Fetch-Mode") == "navigate" && r.URL.RawQuery == ""
	}
	return true
}

// lost answers what the mux has no handler for.
func (g *Guard) lost(w http.ResponseWriter, r *http.Request) {
	other := r.Clone(r.Context())
	for _, method := range []string{http.MethodGet, http.MethodPost} {
		other.Method = method
		if _, pattern := g.mux.Handler(other); pattern != "" {
			w.Header().Set("Allow", method)
			g.Refuse(w, r, http.StatusMethodNotAllowed, "not understood here")
			return
		}
	}
	g.Refuse(w, r, http.StatusNotFound, "there is no such page")
}

// Refuse tells why a request is not served, on a page and in the log.
func (g *Guard) Refuse(w http.ResponseWriter, r *http.Request, status int, why string) {
	g.Note(r, slog.LevelWarn, "refused", "status", status, "why", why)
	g.o.Say(w, status, why)
}

// Note puts a line into the log: what happened, from where, on which of our
// pages. Nothing that came with the request is in it: no address as asked, no
// query, no header, no text typed.
func (g *Guard) Note(r *http.Request, level slog.Level, what string, more ...any) {
	_, pattern := g.mux.Handler(r)
	if pattern == "" {
		pattern = "none of ours"
	}
	from, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		from = "unknown"
	}
	method := r.Method
	if method != http.MethodGet && method != http.MethodHead && method != http.MethodPost {
		method = "another"
	}
	g.o.Log.Log(r.Context(), level, what, append([]any{"from", from, "method", method, "page", pattern}, more...)...)
}

// recorder keeps the interfaces of a ResponseWriter reachable and writes a
// header once: a refusal after a page has begun cannot be told any more.
type recorder struct {
	http.ResponseWriter
	begun bool
}

func (r *recorder) Unwrap() http.ResponseWriter { return r.ResponseWriter }

func (r *recorder) WriteHeader(status int) {
	if !r.begun {
		r.begun = true
		r.ResponseWriter.WriteHeader(status)
	}
}

func (r *recorder) Write(p []byte) (int, error) {
	r.begun = true
	return r.ResponseWriter.Write(p)
}
