// The passphrase: kept as a bcrypt hash in a file of its own, asked for on a
// page, and tried no more than so often.

package guard

import (
	"bytes"
	"encoding/base64"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/url"
	"os"
	"sync"
	"time"

	"golang.org/x/crypto/bcrypt"
)

// Passphrase is one that was set: its hash, and the secret that seals cookies.
type Passphrase struct{ hash, secret []byte }

// The limits of a passphrase, in bytes. bcrypt takes no more than 72.
const (
	LeastPassphrase = 12
	MostPassphrase  = 72
)

// hashCost makes one try take about a quarter of a second on a small machine.
const hashCost = 12

// NewPassphrase hashes a passphrase.
func NewPassphrase(text []byte) (*Passphrase, error) {
	if len(text) < LeastPassphrase || len(text) > MostPassphrase {
		return nil, fmt.Errorf("a passphrase has %d to %d characters (got %d)", LeastPassphrase, MostPassphrase, len(text))
	}
	hash, err := bcrypt.GenerateFromPassword(text, hashCost)
	if err != nil {
		return nil, err
	}
	return &Passphrase{hash, randomBytes(32)}, nil
}

// ReadPassphrase reads what Write wrote.
func ReadPassphrase(name string) (*Passphrase, error) {
	text, err := os.ReadFile(name)
	if err != nil {
		return nil, err
	}
	parts := bytes.Fields(text)
	wrong := fmt.Errorf("%s: not a file that `sandwick serve` wrote; want a line with a bcrypt hash and one with a secret", name)
	if len(parts) != 2 {
		return nil, wrong
	}
	if _, err := bcrypt.Cost(parts[0]); err != nil {
		return nil, wrong
	}
	secret, err := base64.RawURLEncoding.DecodeString(string(parts[1]))
	if err != nil || len(secret) < 32 {
		return nil, wrong
	}
	return &Passphrase{parts[0], secret}, nil
}

// Write puts the passphrase into a new file that only its owner may read.
func (p *Passphrase) Write(name string) error {
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(f, "%s\n%s\n", p.hash, encode(p.secret))
	return errors.Join(err, f.Sync(), f.Close())
}

// How often a passphrase may be wrong from one address, and from all together,
// before nobody is listened to until a while has gone by.
const (
	triesEach = 5
	triesAll  = 100
	triesTime = 10 * time.Minute
)

// tries counts wrong passphrases.
type tries struct {
	mu    sync.Mutex // one hash at a time, too: it is work
	since time.Time
	wrong map[string]int
	all   int
}

// try compares a passphrase, if the address may try yet.
func (t *tries) try(p *Passphrase, text, from string, now time.Time) (right, allowed bool) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if now.Sub(t.since) > triesTime {
		t.since, t.wrong, t.all = now, map[string]int{}, 0
	}
	if t.wrong[from] >= triesEach || t.all >= triesAll {
		return false, false
	}
	if len(text) <= MostPassphrase && bcrypt.CompareHashAndPassword(p.hash, []byte(text)) == nil {
		return true, true
	}
	t.wrong[from]++
	t.all++
	return false, true
}

func (g *Guard) open(path string) bool {
	if path == signInPath {
		return true
	}
	for _, p := range g.o.Open {
		if p == path {
			return true
		}
	}
	return false
}

// ask is the answer to those who are not signed in. A form that was sent with a
// cookie run out is led back to, with what was typed, once they are.
func (g *Guard) ask(w http.ResponseWriter, r *http.Request) {
	if r.Method != http.MethodPost {
		if r.URL.Path == "/" {
			g.o.SignIn(w, r, http.StatusUnauthorized, "", "/")
			return
		}
		g.o.SignIn(w, r, http.StatusUnauthorized, "", r.URL.RequestURI())
		return
	}
	if !g.readForm(w, r, maxFormBytes) {
		return
	}
	typed := r.PostForm
	typed.Del(TokenField)
	then := (&url.URL{Path: r.URL.Path, RawQuery: typed.Encode()}).String()
	if len(typed.Encode()) > maxQueryBytes {
		then = r.URL.Path
	}
	g.Note(r, slog.LevelWarn, "refused", "status", http.StatusUnauthorized, "why", "not signed in")
	g.o.SignIn(w, r, http.StatusUnauthorized, "nothing was recorded: this browser is no longer signed in; what was typed is kept", then)
}

// ThenField is the name of the form field that says where to go once signed in,
// PassphraseField that of the passphrase.
const (
	ThenField       = "then"
	PassphraseField = "passphrase"
)

func (g *Guard) signIn(w http.ResponseWriter, r *http.Request) {
	then := g.ownPlace(r.PostForm.Get(ThenField))
	from, _, _ := net.SplitHostPort(r.RemoteAddr)
	right, allowed := g.try(g.o.Passphrase, r.PostForm.Get(PassphraseField), from, time.Now())
	switch {
	case !allowed:
		g.Note(r, slog.LevelWarn, "refused", "status", http.StatusTooManyRequests, "why", "too many wrong passphrases")
		w.Header().Set("Retry-After", "600")
		g.o.SignIn(w, r, http.StatusTooManyRequests, "too many wrong passphrases: wait ten minutes", then)
	case !right:
		g.Note(r, slog.LevelWarn, "refused", "status", http.StatusUnauthorized, "why", "wrong passphrase")
		g.o.SignIn(w, r, http.StatusUnauthorized, "this is not the passphrase", then)
	default:
		g.newVisitor(w, r, true)
		g.Note(r, slog.LevelInfo, "signed in")
		http.Redirect(w, r, then, http.StatusSeeOther)
	}
}

// staleSignIn is for a sign-in page of another run of the program.
func (g *Guard) staleSignIn(w http.ResponseWriter, r *http.Request) {
	g.o.SignIn(w, r, http.StatusForbidden, "this page was older than the program: give the passphrase once more", g.ownPlace(r.PostForm.Get(ThenField)))
}

// ownPlace is a place to go to if it is one of our pages, and the front page
// otherwise.
func (g *Guard) ownPlace(text string) string {
	u, err := url.Parse(text)
	if err != nil || u.Scheme != "" || u.Host != "" || u.User != nil || u.Opaque != "" || !plainPath(u) {
		return "/"
	}
	read := &http.Request{Method: http.MethodGet, URL: &url.URL{Path: u.Path}}
	if _, pattern := g.mux.Handler(read); pattern == "" {
		return "/"
	}
	return (&url.URL{Path: u.Path, RawQuery: u.RawQuery}).String()
}
