// Package site sets the pages of the local site that are not answers: forms, what
// came of them, the editor of zones. It looks like the page package, whose style
// sheet it builds on, and like it computes nothing. Every page works without a
// script; live.js follows the farm's files, zones.js draws.
//
//	site.go    setting a page, the assets
//	forms.go   what a form is made of
//	*.tmpl     the pages
package site

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"html/template"
	"net/http"
	"strings"

	"sandwick/cmd/sandwick/internal/page"
)

//go:embed *.tmpl site.css live.js zones.js icon.svg
var assets embed.FS

var pages = template.Must(template.New("site").Funcs(template.FuncMap{"places": places}).ParseFS(assets, "*.tmpl"))

// Policy is the content security policy of the site: what it shows, runs and
// asks for is its own, and nobody may frame it.
func Policy() string {
	return "default-src 'none'; script-src 'self'; style-src 'self' " + page.StyleSource() +
		"; img-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
}

// place is one entry of the row of pages at the top.
type place struct{ Path, Name string }

var allPlaces = []place{{"/", "Plan"}, {"/status", "Status"}, {"/season", "Season"}, {"/record/rain", "Record"}, {"/what-if", "What if"}, {"/zones", "Zones"}}

func places() []place { return allPlaces }

// Page is what every page has.
type Page struct {
	Farm  string // empty: the farm cannot be read
	Title string
	Here  string // path of the place that the page belongs to
	Token string // for the forms on it
}

// Asset is a file of the site.
type Asset struct {
	Kind string // media type
	Body []byte
	Tag  string // tells whether a browser has it already
}

// Assets are the files of the site by path.
func Assets() map[string]Asset {
	list := map[string]Asset{}
	for path, from := range map[string]struct{ kind, name string }{
		"/site.css": {"text/css; charset=utf-8", "site.css"},
		"/live.js":  {"text/javascript; charset=utf-8", "live.js"},
		"/zones.js": {"text/javascript; charset=utf-8", "zones.js"},
		"/icon.svg": {"image/svg+xml", "icon.svg"},
	} {
		body, err := assets.ReadFile(from.name)
		if err != nil {
			panic("site: " + err.Error()) // it is built in
		}
		list[path] = asset(from.kind, body)
	}
	list["/page.css"] = asset("text/css; charset=utf-8", []byte(page.Style()))
	return list
}

func asset(kind string, body []byte) Asset {
	sum := sha256.Sum256(body)
	return Asset{kind, body, `"` + hex.EncodeToString(sum[:8]) + `"`}
}

// Write sends a page. name is that of its template; data is a struct that embeds
// Page.
func Write(w http.ResponseWriter, status int, name string, data any) error {
	var b bytes.Buffer
	if err := pages.ExecuteTemplate(&b, name, data); err != nil {
		http.Error(w, "this page could not be set", http.StatusInternalServerError)
		return fmt.Errorf("setting the page %s: %w", name, err)
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, err := w.Write(b.Bytes())
	return err
}

// noticeMark stands where a word about the page's age may be put. No text of the
// page can be like it: all are escaped.
const noticeMark = "<!--notice-->"

// Frame is what stands around an answer. id names the answer; here is its place.
func Frame(here, id string) *page.Frame {
	var head, top strings.Builder
	for b, name := range map[*strings.Builder]string{&head: "head-of-answer", &top: "places"} {
		data := struct {
			Page
			ID string
		}{Page{Here: here}, id}
		if err := pages.ExecuteTemplate(b, name, data); err != nil {
			panic("site: " + err.Error()) // there is nothing in it that could fail
		}
	}
	return &page.Frame{Head: template.HTML(head.String()), Top: template.HTML(top.String() + noticeMark)}
}

// Noticed is an answer's page with a notice in its place. Without one it is the
// page without the mark.
func Noticed(answer []byte, notice string) []byte {
	text := ""
	if notice != "" {
		var b strings.Builder
		if err := pages.ExecuteTemplate(&b, "notice", notice); err != nil {
			panic("site: " + err.Error())
		}
		text = b.String()
	}
	return bytes.Replace(answer, []byte(noticeMark), []byte(text), 1)
}
