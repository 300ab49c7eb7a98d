// Package page sets the answers as one HTML document that needs nothing else:
// styles and drawings are in it, no script, no request. The same document reads
// on a phone and prints on one sheet per pivot, in black and white. It computes
// nothing: what it shows is in its Args, in SI, and is turned into words by the
// rules of the report package.
//
//	args.go    what a page is made from
//	view.go    Args as the template wants them
//	circle.go  the ground under a machine, to scale; rim.go the legs round it
//	soil.go    soil water of a zone; sky.go weather and outlook; hours.go a well's hours
//	state.go   the grades of dryness and their patterns; svg.go the writer below all that
//	image.go   single plots as PNG
//	frame.go   the page as part of a local site
package page

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"strings"
)

//go:embed page.tmpl page.css
var assets embed.FS

var (
	style  = mustRead("page.css")
	layout = template.Must(template.New("page.tmpl").ParseFS(assets, "page.tmpl"))
)

func mustRead(name string) string {
	b, err := assets.ReadFile(name)
	if err != nil {
		panic("page: " + err.Error()) // it is built in
	}
	return strings.TrimSpace(string(b))
}

// Policy is the content security policy that the page keeps to: nothing is
// fetched, nothing runs, and the one style sheet is known by its hash.
func Policy() string {
	return "default-src 'none'; style-src " + StyleSource() + "; base-uri 'none'; form-action 'none'"
}

// StyleSource is the page's style sheet as a policy names it.
func StyleSource() string {
	sum := sha256.Sum256([]byte(style))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}

// Write sets the whole page. Nothing is written when it cannot be set.
func Write(w io.Writer, a *Args) error {
	var b bytes.Buffer
	if err := layout.Execute(&b, newView(a)); err != nil {
		return fmt.Errorf("setting the page: %w", err)
	}
	if _, err := w.Write(b.Bytes()); err != nil {
		return fmt.Errorf("writing the page: %w", err)
	}
	return nil
}
