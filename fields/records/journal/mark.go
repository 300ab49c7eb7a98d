// Where a table is read from that nobody else has touched: what stands further up
// was read before.

package journal

import (
	"bytes"
	"io"
	"math"
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

	of stamp // the table in which it is
}

// stamp is what a table that somebody changed has otherwise.
type stamp struct{ size, changed int64 } // bytes; Unix time, ns

func stampOf(info os.FileInfo) stamp { return stamp{info.Size(), info.ModTime().UnixNano()} }

// Same tells of a mark that it is in the same table as another, as that was. Where
// files are dated to whole seconds only a change might not show.
func (m *Mark) Same(o *Mark) bool { return m.of == o.of && m.of.changed%1e9 != 0 }

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
	// Marked tells that the rows before the mark were looked at when it was set. Else
	// it only has a place, and Line and Through are not known.
	Marked bool
	// ReaderAt is all of the table, for as long as it is shown.
	io.ReaderAt
}

// Size is that of the table, bytes.
func (p *Part) Size() int64 { return p.Offset + int64(len(p.Rest)) }

// ReadPart reads a table of a farm folder by its mark. It gives false where there
// is none, where the file was changed since by anybody but a journal, and while
// something is being added to it.
func ReadPart(dir, name string) (Part, bool) {
	var part Part
	ok := ShowPart(dir, name, math.MaxInt, func(p *Part) { part = *p })
	return part, ok
}

// ShowPart shows a table by its mark, or with one that leaves about so many bytes
// of its end where it has none that holds and is more than twice as large. It gives
// false where there is nothing to show, and where the table changed meanwhile: what
// was seen is not to be used then.
func ShowPart(dir, name string, end int, show func(*Part)) bool {
	statePath := filepath.Join(dir, Dir, stateFile)
	before, _ := os.ReadFile(statePath) // no state is a state
	s := decodeState(before)
	if s.Intent != nil && s.Intent.File == name {
		return false
	}
	f, err := os.Open(filepath.Join(dir, filepath.FromSlash(name)))
	if err != nil {
		return false
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return false
	}
	p := Part{ReaderAt: f}
	size, was := info.Size(), stampOf(info)
	m, ok := s.Marks[name]
	switch {
	case ok && was == stamp{m.Size, m.Changed} && m.Offset <= size:
		p.Mark, p.Marked = m.Mark, true
	case size/2 > int64(end):
		p.Offset = size - int64(end)
	default:
		return false
	}
	p.Head, p.Rest = make([]byte, min(p.Offset, headBytes)), make([]byte, size-p.Offset)
	if _, err := f.ReadAt(p.Head, 0); err != nil {
		return false
	}
	if _, err := f.ReadAt(p.Rest, p.Offset); err != nil {
		return false
	}
	if !p.Marked { // on to where a row begins
		n := bytes.IndexByte(p.Rest, '\n') + 1
		if n == 0 {
			return false
		}
		p.Rest = p.Rest[n:]
		p.Offset += int64(n)
	}
	p.of = was
	show(&p)
	if now, err := f.Stat(); err != nil || stampOf(now) != was {
		return false
	}
	after, _ := os.ReadFile(statePath)
	return bytes.Equal(before, after)
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
