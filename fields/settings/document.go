// A TOML document in which every key and list element knows its line and column.

package settings

import (
	"errors"
	"fmt"
	"regexp"
	"sort"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"

	"sandwick/et/input"
)

// document is a decoded TOML file together with the place of each of its keys.
// A key's path reads like "wells[0].no_run[1].from"; a list element's like
// "planned_cuts[2]".
type document struct {
	file string
	root map[string]any
	pos  map[string]input.Pos
}

// parseDocument decodes src. A file that is not TOML yields one problem, at
// the place where reading stopped.
func parseDocument(file string, src []byte) (*document, input.Problems) {
	d := &document{file: file, root: map[string]any{}, pos: map[string]input.Pos{}}
	// A byte-order mark is what some editors put before UTF-8 text.
	src = []byte(strings.TrimPrefix(string(src), "\ufeff"))
	if err := toml.Unmarshal(src, &d.root); err != nil {
		p := input.Problem{Pos: input.Pos{File: file}, Msg: strings.TrimPrefix(err.Error(), "toml: ")}
		if de, ok := errors.AsType[*toml.DecodeError](err); ok {
			p.Line, p.Column = de.Position()
			p.Field = strings.Join(de.Key(), ".")
		}
		p.Msg = "not readable as TOML: " + p.Msg + slip(src, p.Line)
		return nil, input.Problems{p}
	}
	d.locate(src)
	return d, nil
}

// grouped is a number with a comma between its thousands.
var grouped = regexp.MustCompile(`=\s*(-?\d{1,3}(?:,\d{3})+)(\.\d+)?\s*(?:#.*)?$`)

// slip says what a line that is not TOML most likely meant; empty where it tells
// nothing.
func slip(src []byte, line int) string {
	lines := strings.Split(string(src), "\n")
	if line < 1 || line > len(lines) {
		return ""
	}
	text := strings.TrimRight(lines[line-1], "\r")
	if m := grouped.FindStringSubmatch(text); m != nil {
		return "; no comma goes in a number: write " + strings.ReplaceAll(m[1], ",", "") + m[2]
	}
	if strings.ContainsAny(text, "\u201c\u201d\u201e\u2018\u2019") {
		return `; use straight quotation marks, "like this"`
	}
	return ""
}

// locate fills pos from the syntax tree of a document that has already been
// decoded without error.
func (d *document) locate(src []byte) {
	l := locator{document: d, elements: map[string]int{}}
	for i, c := range src {
		if c == '\n' {
			l.lines = append(l.lines, i+1)
		}
	}
	var p unstable.Parser
	p.Reset(src)
	table := ""
	for p.NextExpression() {
		switch e := p.Expression(); e.Kind {
		case unstable.Table:
			table = l.keys("", e.Key())
		case unstable.ArrayTable:
			table = l.arrayTable(e.Key())
		case unstable.KeyValue:
			l.keyValue(table, e)
		}
	}
}

type locator struct {
	*document
	lines    []int          // offset of the start of each line after the first
	elements map[string]int // path of an array of tables to how many it has so far
}

func (l *locator) place(path string, r unstable.Range) {
	if _, seen := l.pos[path]; seen {
		return
	}
	i := sort.SearchInts(l.lines, int(r.Offset)+1)
	start := 0
	if i > 0 {
		start = l.lines[i-1]
	}
	l.pos[path] = input.Pos{File: l.file, Line: i + 1, Column: int(r.Offset) - start + 1}
}

// keys walks a dotted key down from prefix and returns the whole path.
func (l *locator) keys(prefix string, it unstable.Iterator) string {
	for it.Next() {
		prefix = join(prefix, string(it.Node().Data))
		l.place(prefix, it.Node().Raw)
		if n := l.elements[prefix]; n > 0 { // [a.b] under [[a]] belongs to the last a
			prefix = index(prefix, n-1)
		}
	}
	return prefix
}

func (l *locator) arrayTable(it unstable.Iterator) string {
	prefix := ""
	for it.Next() {
		n := it.Node()
		prefix = join(prefix, string(n.Data))
		l.place(prefix, n.Raw)
		switch {
		case it.IsLast():
			l.elements[prefix]++
			prefix = index(prefix, l.elements[prefix]-1)
			l.place(prefix, n.Raw)
		case l.elements[prefix] > 0:
			prefix = index(prefix, l.elements[prefix]-1)
		}
	}
	return prefix
}

func (l *locator) keyValue(table string, kv *unstable.Node) {
	l.value(l.keys(table, kv.Key()), kv.Value())
}

func (l *locator) value(path string, v *unstable.Node) {
	switch v.Kind {
	case unstable.InlineTable:
		for it := v.Children(); it.Next(); {
			l.keyValue(path, it.Node())
		}
	case unstable.Array:
		i := 0
		for it := v.Children(); it.Next(); i++ {
			el := it.Node()
			if el.Raw.Length > 0 {
				l.place(index(path, i), el.Raw)
			}
			l.value(index(path, i), el)
		}
	}
}

// at is the place of a path, or of the nearest enclosing key that has one.
func (d *document) at(path string) input.Pos {
	for path != "" {
		if p, ok := d.pos[path]; ok {
			return p
		}
		if i := strings.LastIndexAny(path, ".["); i >= 0 {
			path = path[:i]
		} else {
			path = ""
		}
	}
	return input.Pos{File: d.file}
}

// join appends a key of the file to a path.
func join(prefix, key string) string { return under(prefix, quoted(key)) }

// under appends a key, or an element of a list such as "center[1]", to a path.
func under(prefix, key string) string {
	if prefix == "" {
		return key
	}
	return prefix + "." + key
}

// quoted is a key as it stands in a path: a dot or bracket in it would be
// ambiguous, so such keys are put in quotation marks, as TOML does.
func quoted(key string) string {
	if strings.ContainsAny(key, ".[]") {
		return fmt.Sprintf("%q", key)
	}
	return key
}

func index(path string, i int) string { return fmt.Sprintf("%s[%d]", path, i) }
