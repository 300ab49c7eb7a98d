// The house rule of the packages: imports run one way only.

package main

import (
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// rooms are the top-level folders of code in the order in which they may
// import: each any to its right, none to its left.
var rooms = []string{"cmd", "fields", "pivot", "soilwater", "et"}

// kernels do sums and nothing else: no files, no clock reading, no printing.
var kernels = []string{"et", "et/crop", "soilwater", "soilwater/hydraulics", "pivot"}

// outside are packages of the standard library that a kernel has no use for.
var outside = []string{"os", "io", "io/fs", "log", "log/slog", "net", "net/http", "path/filepath", "embed"}

func TestImportsRunOneWay(t *testing.T) {
	const root = "../.."
	files := 0
	err := filepath.WalkDir(root, func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name := entry.Name()
		if entry.IsDir() {
			if path != root && (strings.HasPrefix(name, ".") || name == "testdata") {
				return filepath.SkipDir
			}
			return nil
		}
		if !strings.HasSuffix(name, ".go") {
			return nil
		}
		files++
		rel, err := filepath.Rel(root, filepath.Dir(path))
		if err != nil {
			return err
		}
		dir := filepath.ToSlash(rel)
		place := room(dir)
		if place < 0 {
			t.Errorf("%s/%s: code outside the top-level folders %v", dir, name, rooms)
			return nil
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		for _, spec := range file.Imports {
			imported, err := strconv.Unquote(spec.Path.Value)
			if err != nil {
				return err
			}
			if inner, ours := strings.CutPrefix(imported, "sandwick/"); ours {
				if to := room(inner); to < place {
					t.Errorf("%s/%s imports %s: imports run %s", dir, name, imported, strings.Join(rooms, " -> "))
				}
			}
			if strings.HasSuffix(name, "_test.go") {
				continue
			}
			for _, kernel := range kernels {
				for _, banned := range outside {
					if dir == kernel && imported == banned {
						t.Errorf("%s/%s imports %s: %s takes values and returns values", dir, name, imported, kernel)
					}
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if files < 20 {
		t.Fatalf("only %d files read: is %s the module's root?", files, root)
	}
}

// room is the place of a package in rooms; -1 if it is in none.
func room(dir string) int {
	first, _, _ := strings.Cut(dir, "/")
	for i, r := range rooms {
		if r == first {
			return i
		}
	}
	return -1
}
