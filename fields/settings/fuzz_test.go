package settings

import (
	"bytes"
	"os"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"
)

// FuzzRead: no text of farm.toml makes Read panic, and every message points at
// a line that the file has.
func FuzzRead(f *testing.F) {
	ar, err := txtar.ParseFile("../testdata/small.txtar")
	if err != nil {
		f.Fatal(err)
	}
	for _, file := range ar.Files {
		if file.Name == File {
			f.Add(file.Data)
			for _, cut := range []int{7, 40, 200, 600} {
				f.Add(file.Data[:min(cut, len(file.Data))])
			}
		}
	}
	if demo, err := os.ReadFile("../../testdata/demo/farm.toml"); err == nil {
		f.Add(demo)
	}
	f.Add([]byte("[farm]\nname = { a.b = 1 }\n[[wells]]\n[wells.energy]\n[[wells.no_run]]\n\"a.b\" = [[1], {c = 2}]\n"))
	f.Add([]byte("farm = 1\nsite = []\nseason = [1]\nwells = [1, {}]\npivots = {}\n"))
	f.Add([]byte("\xef\xbb\xbf[farm]\r\nname = \"x\"\r\n"))
	f.Fuzz(func(t *testing.T, src []byte) {
		s, problems, doubts := Read(File, src)
		lines := bytes.Count(src, []byte("\n")) + 1
		for _, p := range append(problems, doubts...) {
			if p.File != File || p.Line < 0 || p.Line > lines || p.Msg == "" {
				t.Errorf("message of no use: %#v", p)
			}
		}
		if len(problems) == 0 && (s == nil || s.Name == "" || s.Location == nil || len(s.Fields)+len(s.Soils) == 0) {
			t.Errorf("sound, but %+v", s)
		}
	})
}
