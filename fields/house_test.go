// The house: which package may import which, and what science may not touch.

package fields

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// rooms from right to left: a package may import its own room and those before it.
var rooms = []string{"et", "soilwater", "pivot", "fields", "cmd"}

// Science takes values and returns values: no files, no clock of its own, no
// printing, no log, no network.
var (
	science    = []string{"et", "soilwater", "pivot"}
	notScience = []string{"os", "io/fs", "io/ioutil", "embed", "log", "log/slog", "net", "net/http", "os/exec", "flag", "path/filepath", "github.com/spf13/cobra"}
	// Kernels are sums and nothing else: they know no streams either, as readers of tables do.
	kernels     = []string{"et", "et/crop", "et/spells", "soilwater", "soilwater/hydraulics", "soilwater/watertable", "pivot", "pivot/keepup", "pivot/runplan"}
	globalCalls = regexp.MustCompile(`\b(time\.(Now|Since|Until|Sleep|Tick|After)\(|fmt\.(Print|Printf|Println)\(|rand\.(Int\w*|Uint\w*|Float\w*|NormFloat64|ExpFloat64|Seed|Shuffle|Perm|N)\()`)
)

func TestImportsRunOneWay(t *testing.T) {
	root := ".."
	files := 0
	err := filepath.WalkDir(root, func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if n := d.Name(); n == "testdata" || strings.HasPrefix(n, ".") && n != ".." {
				return filepath.SkipDir
			}
			return nil
		}
		rel, err := filepath.Rel(root, name)
		if err != nil {
			return err
		}
		rel = filepath.ToSlash(rel)
		if !strings.HasSuffix(rel, ".go") {
			return nil
		}
		room, _, _ := strings.Cut(rel, "/")
		at := slices.Index(rooms, room)
		if at < 0 {
			t.Errorf("%s lies outside the five folders of code: %s", rel, strings.Join(rooms, ", "))
			return nil
		}
		files++
		src, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		file, err := parser.ParseFile(token.NewFileSet(), rel, src, parser.ImportsOnly)
		if err != nil {
			return err
		}
		isTest := strings.HasSuffix(rel, "_test.go")
		for _, spec := range file.Imports {
			what, err := strconv.Unquote(spec.Path.Value)
			if err != nil {
				return err
			}
			if inside, ok := strings.CutPrefix(what, "sandwick/"); ok {
				other, _, _ := strings.Cut(inside, "/")
				if slices.Index(rooms, other) > at {
					t.Errorf("%s imports %s: imports run cmd -> fields -> pivot -> soilwater -> et and never back", rel, what)
				}
				if path.Dir(rel) != inside && strings.HasPrefix(inside, "cmd/") && room != "cmd" {
					t.Errorf("%s imports the program", rel)
				}
			}
			if !isTest && slices.Contains(science, room) && slices.Contains(notScience, what) {
				t.Errorf("%s imports %s: science takes values and returns values", rel, what)
			}
			if !isTest && what == "io" && slices.Contains(kernels, path.Dir(rel)) {
				t.Errorf("%s imports %s: a kernel takes values and returns values", rel, what)
			}
			if what == "github.com/peterstace/simplefeatures/geom" && !isTest {
				t.Errorf("%s imports %s, which is for tests only", rel, what)
			}
		}
		if !isTest && slices.Contains(science, room) {
			for i, line := range strings.Split(string(src), "\n") {
				code, _, _ := strings.Cut(line, "//")
				if m := globalCalls.FindString(code); m != "" {
					t.Errorf("%s:%d calls %s...): science has no clock, no chance and no voice of its own", rel, i+1, m)
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if files < 20 {
		t.Fatalf("only %d Go files seen; the test looks in the wrong place", files)
	}
}
