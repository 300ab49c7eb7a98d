// Reading beside a writer, and after one that crashed.

package journal

import (
	"bytes"
	"io/fs"
	"path"
	"time"
)

// Settled gives the files of a farm folder as they are between additions: lines
// of which only a part is written yet, by a writer at work or one that
// crashed, are left out. It takes no lock and writes nothing, so that a folder
// that cannot be written to can be read.
func Settled(fsys fs.FS) fs.FS { return settled{fsys} }

type settled struct{ fs.FS }

// tries is how often a file is read again because a writer was at work.
const tries = 20

// Open implements fs.FS. Tables are read whole at once; the program that reads
// them does so anyway.
func (s settled) Open(name string) (fs.File, error) {
	if path.Ext(name) != ".csv" {
		return s.FS.Open(name)
	}
	text, info, err := s.table(name)
	if err != nil {
		return nil, err
	}
	return &memory{Reader: bytes.NewReader(text), info: info}, nil
}

// ReadFile implements fs.ReadFileFS.
func (s settled) ReadFile(name string) ([]byte, error) {
	if path.Ext(name) != ".csv" {
		return fs.ReadFile(s.FS, name)
	}
	text, _, err := s.table(name)
	return text, err
}

// Stat implements fs.StatFS.
func (s settled) Stat(name string) (fs.FileInfo, error) { return fs.Stat(s.FS, name) }

// ReadDir implements fs.ReadDirFS.
func (s settled) ReadDir(name string) ([]fs.DirEntry, error) { return fs.ReadDir(s.FS, name) }

// table reads one file between two looks at the state: where both are alike,
// no more than one addition was under way, and it is that of the state.
func (s settled) table(name string) (text []byte, info fs.FileInfo, err error) {
	statePath := path.Join(Dir, stateFile)
	before, _ := fs.ReadFile(s.FS, statePath) // no state is a state
	for range tries {
		if info, err = fs.Stat(s.FS, name); err != nil {
			return nil, nil, err
		}
		if text, err = fs.ReadFile(s.FS, name); err != nil {
			return nil, nil, err
		}
		after, _ := fs.ReadFile(s.FS, statePath)
		in := decodeState(after).Intent
		if in != nil && in.File == name && in.Offset < int64(len(text)) && in.torn(text[in.Offset:]) {
			text = text[:in.Offset]
		}
		if bytes.Equal(before, after) {
			break
		}
		before = after
		time.Sleep(time.Millisecond)
	}
	return text, info, nil
}

// memory is a file that was read.
type memory struct {
	*bytes.Reader
	info fs.FileInfo
}

func (m *memory) Stat() (fs.FileInfo, error) { return m.info, nil }
func (m *memory) Close() error               { return nil }
