// What is posted.

package guard

import (
	"crypto/hmac"
	"errors"
	"mime"
	"net/http"
	"os"
)

// TokenField is the name of the form field that holds the token.
const TokenField = "token"

// Post serves a form. It is no longer than limit bytes (0: as a record's form
// is), of the kind that browsers send without files, and carries the visitor's
// token; r.PostForm holds it. A form with a token of an older run goes to stale,
// which must do nothing but show what was typed once more: it was posted by our
// own page, or by nobody's, since another site's is refused before.
func (g *Guard) Post(path string, limit int64, do, stale http.HandlerFunc) {
	if limit == 0 {
		limit = maxFormBytes
	}
	g.mux.HandleFunc("POST "+path, func(w http.ResponseWriter, r *http.Request) {
		if !g.readForm(w, r, limit) {
			return
		}
		if !hmac.Equal([]byte(r.PostForm.Get(TokenField)), []byte(g.Token(r))) {
			g.Note(r, 4, "refused", "status", http.StatusForbidden, "why", "no token of this run")
			stale(w, r)
			return
		}
		do(w, r)
	})
}

// readForm reads a form within its limits, or says why not.
func (g *Guard) readForm(w http.ResponseWriter, r *http.Request, limit int64) bool {
	kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if err != nil || kind != "application/x-www-form-urlencoded" {
		g.Refuse(w, r, http.StatusUnsupportedMediaType, "only the forms of these pages are understood")
		return false
	}
	if r.ContentLength > limit {
		w.Header().Set("Connection", "close") // what is left of it is not read
		g.Refuse(w, r, http.StatusRequestEntityTooLarge, "more than may be sent at once")
		return false
	}
	r.Body = http.MaxBytesReader(w, r.Body, limit)
	err = r.ParseForm()
	var large *http.MaxBytesError
	switch {
	case err == nil:
		return true
	case errors.As(err, &large):
		g.Refuse(w, r, http.StatusRequestEntityTooLarge, "more than may be sent at once")
	case errors.Is(err, os.ErrDeadlineExceeded):
		w.Header().Set("Connection", "close")
		g.Refuse(w, r, http.StatusRequestTimeout, "it took too long to arrive")
	default:
		g.Refuse(w, r, http.StatusBadRequest, "the form is damaged")
	}
	return false
}
