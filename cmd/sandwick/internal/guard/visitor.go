// The cookie: a random name for a browser, and whether it is signed in. Nothing
// is kept here between requests; the cookie is held to be true by its seal.

package guard

import (
	"context"
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"net"
	"net/http"
	"strconv"
	"strings"
	"time"
)

// lasting is how long a browser stays signed in: a phone that is used every day
// asks once a month.
const lasting = 30 * 24 * time.Hour

// keys seal cookies and tokens.
type keys struct{ cookie, token []byte }

// newKeys are fresh ones, or those of the passphrase's file, so that nobody has
// to sign in again after a restart.
func newKeys(p *Passphrase) (keys, error) {
	secret := make([]byte, 32)
	rand.Read(secret) // never fails
	if p != nil {
		secret = p.secret
	}
	return keys{seal(secret, "cookie"), seal(secret, "token")}, nil
}

func seal(key []byte, text string) []byte {
	m := hmac.New(sha256.New, key)
	m.Write([]byte(text))
	return m.Sum(nil)
}

func encode(b []byte) string { return base64.RawURLEncoding.EncodeToString(b) }

// cookieName has the port in it: cookies do not tell ports apart.
func cookieName(r *http.Request) string {
	port := "80"
	if local, ok := r.Context().Value(http.LocalAddrContextKey).(net.Addr); ok {
		if _, p, err := net.SplitHostPort(local.String()); err == nil {
			port = p
		}
	}
	return "sandwick-" + port
}

// visitor reads the cookie, and gives one to a browser that has none.
func (g *Guard) visitor(w http.ResponseWriter, r *http.Request) (id string, signedIn bool) {
	if c, err := r.Cookie(cookieName(r)); err == nil {
		if id, signedIn, ok := g.readCookie(c.Value, time.Now()); ok {
			return id, signedIn
		}
	}
	return g.newVisitor(w, r, false), false
}

// newVisitor sets a cookie with a new name, signed in or not.
func (g *Guard) newVisitor(w http.ResponseWriter, r *http.Request, signedIn bool) string {
	id := encode(randomBytes(18))
	until := int64(0)
	if signedIn {
		until = time.Now().Add(lasting).Unix()
	}
	value := id + "." + strconv.FormatInt(until, 36)
	c := &http.Cookie{
		Name: cookieName(r), Value: value + "." + encode(seal(g.keys.cookie, value)),
		Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode,
	}
	if signedIn {
		c.MaxAge = int(lasting / time.Second)
	}
	http.SetCookie(w, c)
	return id
}

func (g *Guard) readCookie(text string, now time.Time) (id string, signedIn, ok bool) {
	at := strings.LastIndexByte(text, '.')
	if at < 0 {
		return "", false, false
	}
	value, mark := text[:at], text[at+1:]
	if !hmac.Equal([]byte(mark), []byte(encode(seal(g.keys.cookie, value)))) {
		return "", false, false
	}
	id, stamp, _ := strings.Cut(value, ".")
	until, err := strconv.ParseInt(stamp, 36, 64)
	if err != nil {
		return "", false, false
	}
	if until != 0 && now.Unix() >= until {
		return "", false, false
	}
	return id, until != 0, true
}

func randomBytes(n int) []byte {
	b := make([]byte, n)
	rand.Read(b)
	return b
}

type visitorKey struct{}

func withVisitor(ctx context.Context, id string) context.Context {
	return context.WithValue(ctx, visitorKey{}, id)
}

// Token is what a form on a page for this visitor must carry back in the field
// named TokenField.
func (g *Guard) Token(r *http.Request) string {
	id, _ := r.Context().Value(visitorKey{}).(string)
	return encode(seal(g.keys.token, id))
}
