// Where a table is read from that nobody else has touched: what stands further up
// was read before.

package journal

import (
	"bytes"
	"io"
	"os"
	"path/filepath"

	"github.com/golang-sql/civil"
)

// Mark is a place in a table, where a row begins, and what is known of the rows
// before it.
type Mark struct {
	Offset  int64
	Line    int        // lines before it
	Through civil.Date `json:",omitzero"` // none of the rows before it is about a later day; not valid: not known
}

// marked is a mark in a file as an addition left it.
type marked struct {
	Mark
	Size    int64
	Changed int64 // Unix time, ns
}

// headBytes is how much of a table's beginning is read.
const headBytes = 64 << 10

// Part is the beginning of a table and what follows its mark.
type Part struct {
	Mark
	Head, Rest []byte
}

// ReadPart reads a table of a farm folder by its mark. It gives false where there
// is none, where the file was changed since by anybody but a journal, and while
// something is being added to it.
func ReadPart(dir, name string) (Part, bool) {
	statePath := filepath.Join(dir, Dir, stateFile)
	before, err := os.ReadFile(statePath)
	if err != nil {
		return Part{}, false
	}
	s := decodeState(before)
	m, ok := s.Marks[name]
	if !ok || s.Intent != nil && s.Intent.File == name {
		return Part{}, false
	}
	f, err := os.Open(filepath.Join(dir, filepath.FromSlash(name)))
	if err != nil {
		return Part{}, false
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil || info.Size() != m.Size || info.ModTime().UnixNano() != m.Changed || m.Offset > m.Size {
		return Part{}, false
	}
	p := Part{Mark: m.Mark, Head: make([]byte, min(m.Offset, headBytes)), Rest: make([]byte, m.Size-m.Offset)}
	if _, err := io.ReadFull(f, p.Head); err != nil {
		return Part{}, false
	}
	if _, err := f.ReadAt(p.Rest, m.Offset); err != nil {
		return Part{}, false
	}
	after, err := os.ReadFile(statePath)
	return p, err == nil && bytes.Equal(before, after)
}

// mark notes where a file of this size may be read from next time, as it stands
// now; nil: from its beginning. Where files are dated to whole seconds only a
// change by somebody else might not show: none is noted.
func (s *state) mark(name string, m *Mark, f *os.File, size int64) {
	marks := make(map[string]marked, len(s.Marks)+1) // the state before may have to come back
	for n, old := range s.Marks {
		if n != name {
			marks[n] = old
		}
	}
	if m != nil {
		if info, err := f.Stat(); err == nil && info.Size() == size && info.ModTime().Nanosecond() != 0 {
			marks[name] = marked{*m, size, info.ModTime().UnixNano()}
		}
	}
	s.Marks = marks
}
