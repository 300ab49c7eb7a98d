// Where each value of a JSON document stands: path to line and column.

package zonemap

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"sort"
	"strconv"
	"strings"

	"sandwick/et/input"
)

// places maps paths such as "features[2].properties.soil" to the start of the
// value. Positions inside coordinates are left out: there are too many.
type places struct {
	file  string
	lines []int // offset of the start of each line after the first
	start map[string]int
	err   *input.Problem // why the document is not JSON
}

func at(path string, i int) string { return path + "[" + strconv.Itoa(i) + "]" }

func scan(file string, src []byte) *places {
	p := &places{file: file, start: map[string]int{}}
	for i, c := range src {
		if c == '\n' {
			p.lines = append(p.lines, i+1)
		}
	}
	s := scanner{places: p, src: src, dec: json.NewDecoder(bytes.NewReader(src))}
	s.dec.UseNumber()
	err := s.value("", 0)
	if err == nil {
		if _, extra := s.dec.Token(); extra != io.EOF {
			err = errors.New("something follows after the end of the document")
		}
	}
	if err != nil {
		offset := s.next() // the offset in a SyntaxError counts from elsewhere
		msg := "not readable as JSON: " + err.Error()
		if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
			msg = "not readable as JSON: the file ends too early"
		}
		if word := wordAt(src, offset); word == "NaN" || word == "Infinity" {
			msg = "not readable as JSON: " + word + " is no number; leave the value out or give null"
		}
		p.err = &input.Problem{Pos: p.pos(offset), Msg: msg}
	}
	return p
}

// wordAt is the run of letters that starts at offset, a sign aside.
func wordAt(src []byte, offset int) string {
	if offset < len(src) && src[offset] == '-' {
		offset++
	}
	end := offset
	for end < len(src) && (src[end]|0x20 >= 'a' && src[end]|0x20 <= 'z') {
		end++
	}
	return string(src[min(offset, end):end])
}

type scanner struct {
	*places
	src []byte
	dec *json.Decoder
}

// maxNesting keeps a hostile document from exhausting the stack; encoding/json
// itself stops at 10000.
const maxNesting = 100

func (s *scanner) value(path string, depth int) error {
	if depth > maxNesting {
		return errors.New("nested too deeply")
	}
	if path != "" {
		s.start[path] = s.next()
	}
	t, err := s.dec.Token()
	if err != nil {
		return err
	}
	switch t {
	case json.Delim('{'):
		for s.dec.More() {
			key, err := s.dec.Token()
			if err != nil {
				return err
			}
			name, ok := key.(string)
			if !ok {
				return errors.New("a key is not text")
			}
			p := name
			if path != "" {
				p = path + "." + name
			}
			if err := s.value(p, depth+1); err != nil {
				return err
			}
		}
		_, err = s.dec.Token()
	case json.Delim('['):
		for i := 0; s.dec.More(); i++ {
			element := at(path, i)
			if strings.HasSuffix(path, ".coordinates") || path == "" {
				element = "" // not worth a place of its own
			}
			if err := s.value(element, depth+1); err != nil {
				return err
			}
		}
		_, err = s.dec.Token()
	}
	return err
}

// next is the offset at which the next value starts.
func (s *scanner) next() int {
	i := int(s.dec.InputOffset())
	for i < len(s.src) && bytes.IndexByte([]byte(" \t\r\n,:"), s.src[i]) >= 0 {
		i++
	}
	return i
}

func (p *places) pos(offset int) input.Pos {
	i := sort.SearchInts(p.lines, offset+1)
	start := 0
	if i > 0 {
		start = p.lines[i-1]
	}
	return input.Pos{File: p.file, Line: i + 1, Column: offset - start + 1}
}

// at is the place of a path, or of the nearest value around it that has one.
func (p *places) at(path string) input.Pos {
	for path != "" {
		if o, ok := p.start[path]; ok {
			return p.pos(o)
		}
		i := len(path) - 1
		for i > 0 && path[i] != '.' && path[i] != '[' {
			i--
		}
		path = path[:i]
	}
	return input.Pos{File: p.file}
}
