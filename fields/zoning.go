// The map of zones, drawn anew: held against all of the farm before it takes the
// place of the one there is.

package fields

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"

	"sandwick/et/input"
	"sandwick/fields/records/journal"
	"sandwick/fields/zonemap"
)

// Zoning is a farm folder opened to change its map. The map itself need not be
// sound, nor be there.
type Zoning struct {
	Settings
	Text []byte // of zones.geojson; nil: there is none
	dir  string
}

// ErrMapChanged is returned by Save when somebody else has saved a map meanwhile.
var ErrMapChanged = errors.New("the map was changed by somebody else meanwhile")

// OpenZoning reads the settings of a farm folder and the text of its map. With
// problems the Zoning is nil.
func OpenZoning(dir string) (*Zoning, input.Problems) {
	if problems := noFolder(dir); problems != nil {
		return nil, problems
	}
	l := loader{fsys: os.DirFS(dir)}
	f := l.settings()
	if len(l.problems) > 0 {
		l.problems.Sort()
		inFolder(dir, l.problems)
		return nil, l.problems
	}
	text, err := readMap(dir)
	if err != nil {
		return nil, input.Problems{{Pos: input.Pos{File: zonemap.File}, Msg: "cannot be read: " + err.Error()}}
	}
	return &Zoning{f.Settings, text, dir}, nil
}

func readMap(dir string) ([]byte, error) {
	text, err := fs.ReadFile(os.DirFS(dir), zonemap.File)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	return text, err
}

// Tag names a text of the map.
func (z *Zoning) Tag() string { return tag(z.Text) }

func tag(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:12])
}

// Check tells what is wrong with a text for the map: everything in the map, and
// what else in the farm would be wrong with it that is not wrong already, such
// as readings of a zone that would be gone.
func (z *Zoning) Check(text []byte) input.Problems {
	fsys := journal.Settled(os.DirFS(z.dir))
	_, before := LoadFS(fsys)
	_, after := LoadFS(withMap{fsys, text})
	var problems input.Problems
	for _, p := range after {
		if p.File == zonemap.File || !slices.Contains(before, p) {
			problems = append(problems, p)
		}
	}
	return problems
}

// Save puts a text in the place of the map named by its tag. It is written aside,
// forced to the disk and renamed. An [input.Problems] error is of the text; with
// any error the map is as it was.
func (z *Zoning) Save(ctx context.Context, was string, text []byte) error {
	if problems := z.Check(text); len(problems) > 0 {
		return problems
	}
	j, err := journal.Open(ctx, z.dir)
	if err != nil {
		return fmt.Errorf("nothing was saved: %w", err)
	}
	defer j.Close()
	there, err := readMap(z.dir)
	if err != nil {
		return fmt.Errorf("nothing was saved: %w", err)
	}
	if tag(there) != was {
		return ErrMapChanged
	}
	if bytes.Equal(there, text) {
		return nil
	}
	if err := j.Replace(zonemap.File, text, nil); err != nil {
		return fmt.Errorf("nothing was saved: %w", err)
	}
	return nil
}

// withMap is a farm folder with another map.
type withMap struct {
	fs.FS
	text []byte
}

func (w withMap) Open(name string) (fs.File, error) {
	if name == zonemap.File {
		return mapFile{bytes.NewReader(w.text)}, nil
	}
	return w.FS.Open(name)
}

func (w withMap) ReadFile(name string) ([]byte, error) {
	if name == zonemap.File {
		return w.text, nil
	}
	return fs.ReadFile(w.FS, name)
}

// mapFile is only read from.
type mapFile struct{ *bytes.Reader }

func (mapFile) Stat() (fs.FileInfo, error) { return nil, fs.ErrInvalid }
func (mapFile) Close() error               { return nil }
