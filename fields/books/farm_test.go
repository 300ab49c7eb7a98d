// Farms for the tests, from text.

package books

import (
	"strings"
	"testing"
	"testing/fstest"

	"github.com/golang-sql/civil"
	"github.com/rogpeppe/go-internal/txtar"

	"sandwick/fields"
)

// files is a farm folder in memory: testdata/twelve.txtar with changes, triples of
// file, old text and new text; old "" replaces the file.
func files(t testing.TB, changes ...string) fstest.MapFS {
	t.Helper()
	ar, err := txtar.ParseFile("testdata/twelve.txtar")
	if err != nil {
		t.Fatal(err)
	}
	m := fstest.MapFS{}
	for _, f := range ar.Files {
		m[f.Name] = &fstest.MapFile{Data: f.Data}
	}
	for i := 0; i < len(changes); i += 3 {
		name, old, now := changes[i], changes[i+1], changes[i+2]
		if old == "" {
			m[name] = &fstest.MapFile{Data: []byte(now)}
			continue
		}
		text := string(m[name].Data)
		if !strings.Contains(text, old) {
			t.Fatalf("%s does not contain %q", name, old)
		}
		m[name] = &fstest.MapFile{Data: []byte(strings.Replace(text, old, now, 1))}
	}
	return m
}

func walk(t testing.TB, fsys fstest.MapFS, today string, o fields.WalkOptions) *fields.Season {
	t.Helper()
	f, problems := fields.LoadFS(fsys)
	if len(problems) > 0 {
		t.Fatalf("the farm should be sound:\n%v", problems)
	}
	s, err := f.Walk(date(t, today), o)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func keep(t testing.TB, fsys fstest.MapFS, today string) *Books {
	t.Helper()
	return Make(walk(t, fsys, today, fields.WalkOptions{}), Usual())
}

func date(t testing.TB, text string) civil.Date {
	t.Helper()
	d, err := civil.ParseDate(text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}
